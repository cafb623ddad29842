"""One plan's work: claim it, let the planner think, tell how far it is, publish what came out."""
