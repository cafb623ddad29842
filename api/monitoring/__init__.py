"""Whether the service lives, and what happens in it."""
