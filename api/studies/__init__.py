"""Studies over HTTP: questions about a plan that the workers answer part by part."""
