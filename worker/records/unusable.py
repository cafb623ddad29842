"""What is said where the records cannot be opened. Apart from opening them: whoever only starts processes loads no
database's library for it."""

from pathlib import Path


class RecordsUnusable(ValueError):
    """The records cannot be opened; says why, and what to do."""


def folder_said(folder: Path, error: OSError) -> str:
    """What is wrong with the data folder, in a sentence."""
    return (
        f"the folder {folder.absolute()} cannot be written ({error.strerror or error}): give this user the right to, "
        "or set SHOT_TO_SHIP_DATA to another folder"
    )
