"""The top floor: HTTP, pages, files in and out."""
