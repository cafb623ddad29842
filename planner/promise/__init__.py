"""The promise: what is not sure drawn thousands of times, the plan's order of work followed, dates read off."""
