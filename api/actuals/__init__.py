"""The floor's log over HTTP, planning again from it, and what it teaches."""
