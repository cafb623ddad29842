"""The queue: Celery over a Redis-protocol server. It carries plan ids and is allowed to lose them."""
