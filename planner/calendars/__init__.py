"""Hours in a named zone, turned into open stretches in seconds."""
