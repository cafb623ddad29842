"""What a table gives, whatever kind of file it came from."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Protocol

Cell = str | int | float | bool | date | datetime | None


class Formula(str):
    """A cell that holds a formula; its value cannot be trusted, so a row that needs it is set aside."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Row:
    """One row below the headings.

    number: row as a spreadsheet program shows it, the first row of the file is 1.
    line: line of the text file where it begins; None in a workbook.
    cells: one for each heading, in order; rows that end early are shorter, longer rows keep their surplus.
    fault: why the row cannot be cut into cells; cells are empty then.
    cut_short: the file ends inside this row's last line.
    """

    number: int
    line: int | None
    cells: Sequence[Cell]
    fault: str = ""
    cut_short: bool = False


Plausible = Callable[[Sequence[Cell]], bool]
"""Whether cells look like a row of their own (used to find where a stray quote mark swallowed rows)."""


@dataclass
class Source:
    """How the file was read, for the report. sheet: "" in a text file; encoding, delimiter: "" in a workbook."""

    kind: str
    encoding: str = ""
    delimiter: str = ""
    sheet: str = ""
    other_sheets: tuple[str, ...] = ()
    heading_row: int = 1
    notes: list[str] = field(default_factory=list)


class Table(Protocol):
    """A table with headings; rows can be walked as often as needed."""

    headings: tuple[str, ...]
    source: Source

    def rows(self, plausible: Plausible | None = None) -> Iterator[Row]:
        """Rows below the headings, blank ones included, in order."""


def named(cells: Sequence[Cell]) -> tuple[str, ...]:
    """Headings made unique: blanks become `column C`, repeats `Colour (2)`; trailing blanks are left out."""
    texts = [" ".join(str(cell).split()) if cell is not None else "" for cell in cells]
    while texts and not texts[-1]:
        texts.pop()
    names: list[str] = []
    taken: set[str] = set()
    for place, text in enumerate(texts):
        name = base = text[:200] or f"column {letters(place)}"
        repeat = 2
        while name.casefold() in taken:
            name, repeat = f"{base} ({repeat})", repeat + 1
        taken.add(name.casefold())
        names.append(name)
    return tuple(names)


def letters(place: int) -> str:
    """Column letters as spreadsheets write them: 0 is A, 26 is AA."""
    text = ""
    place += 1
    while place:
        place, digit = divmod(place - 1, 26)
        text = chr(65 + digit) + text
    return text


def is_blank(cells: Sequence[Cell]) -> bool:
    """Whether no cell holds anything but white space."""
    return not any(cell is not None and not (isinstance(cell, str) and not cell.strip()) for cell in cells)
