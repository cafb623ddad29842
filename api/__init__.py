"""The top layer: HTTP, pages, files in and out."""
