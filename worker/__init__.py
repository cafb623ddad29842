"""The middle floor: queue, records of plans, progress and stop."""
