"""/v1/purge: what colour changes cost, asked without a plan, and the log of what they really took."""
