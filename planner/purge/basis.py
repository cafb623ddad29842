"""What a purge figure rests on."""

from enum import IntEnum


class Basis(IntEnum):
    """In falling order of trust from the end; the name in lower case is what a reader sees."""

    NONE = 0
    ESTIMATED = 1
    GIVEN = 2
    MEASURED = 3

    @property
    def label(self) -> str:
        return self.name.lower()
