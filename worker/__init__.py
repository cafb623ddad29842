"""The middle layer: queue, records of plans, progress and stop."""
