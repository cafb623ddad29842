"""Pure planning: a campaign document in, a run plan out; no web, queue, database, clock or environment."""
