"""Plans over HTTP: submit, watch, read, stop, cancel, plan anew, delete."""
