"""Orders exploded through tiers and products into items, shots, run demands and pack batches."""
