"""Promises over HTTP: dates with how sure they are, and the update for supporters."""
