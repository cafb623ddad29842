"""The command for shells and scripts: a thin client of the API, and the demo."""
