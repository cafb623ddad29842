"""What the service remembers: one database, SQLite or PostgreSQL, and the only truth there is."""
