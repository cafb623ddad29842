"""Pages for people: server-rendered, readable without script, nothing fetched from elsewhere."""
