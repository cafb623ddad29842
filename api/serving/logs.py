"""Logs of `./run serve`: each is kept within a size, with one older piece beside it."""

import shutil
from pathlib import Path

LARGEST = 20 * 2**20
"""Bytes of one log, and of the older piece beside it."""


def trim(folder: Path, largest: int = LARGEST) -> list[str]:
    """Put what is too large aside and begin anew; gives which. Whoever writes there appends, so goes on in front."""
    trimmed = []
    for file in sorted(folder.glob("*.log")):
        if file.stat().st_size > largest:
            shutil.copyfile(file, file.with_suffix(".log.1"))
            with file.open("r+b") as begun:
                begun.truncate(0)
            trimmed.append(file.name)
    return trimmed
