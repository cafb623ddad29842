"""./run serve: the queue's server, the workers and the API on one machine, kept going by one process."""
