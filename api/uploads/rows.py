"""What a table gives, whatever kind of file it came from."""

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Protocol

from api.uploads.encodings import readable
from api.uploads.limits import Limits, UnreadableFile

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
    marks: what the sheet says of the row beside its cells, with the reason: that it is crossed out, for one.
    """

    number: int
    line: int | None
    cells: Sequence[Cell]
    fault: str = ""
    cut_short: bool = False
    marks: tuple[tuple[str, str], ...] = ()


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


class Counted:
    """Rows and cells of one walk through a table; raises UnreadableFile past the limit of either.

    most_blank: rows that may be blank; none: as many as the cells allow.
    """

    def __init__(self, limits: Limits, most_blank: int | None = None) -> None:
        self._limits, self._rows, self._cells = limits, 0, 0
        self._blank, self._most_blank = 0, most_blank

    def add(self, cells: Sequence[Cell], blank: bool) -> None:
        """One row more. Blank ones count apart, and by their cells."""
        self._rows += not blank
        self._blank += blank
        if self._most_blank is not None and self._blank > self._most_blank:
            raise UnreadableFile(f"more than {self._most_blank:,} rows are blank", "delete the blank rows")
        self._cells += len(cells)
        if self._rows > self._limits.rows:
            raise UnreadableFile(f"more than {self._limits.rows} rows", "split the file")
        if self._cells > self._limits.cells:
            raise UnreadableFile(
                f"more than {self._limits.cells:,} cells", "leave out columns that are not needed, or split the file"
            )


@dataclass(frozen=True)
class Where:
    """Where in a file the table is, as the maker says. No sheet: the likeliest; no heading_row: found."""

    sheet: str | None = None
    heading_row: int | None = None

    @classmethod
    def said(cls, sheet: str, heading_row: str) -> "Where":
        """As typed; blank: found. Raises UnreadableFile for what is no row number."""
        row = heading_row.strip()
        if row and not (row.isascii() and row.isdecimal() and 0 < int(row[:7]) <= 1_048_576):
            raise UnreadableFile(f"`{row[:20]}` is no row number", "1 is the first row; blank: it is found")
        return cls(sheet or None, int(row[:7]) if row else None)


class Table(Protocol):
    """A table with headings; rows can be walked as often as needed."""

    headings: tuple[str, ...]
    source: Source

    def rows(self, plausible: Plausible | None = None) -> Iterator[Row]:
        """Rows below the headings, blank ones included, in order."""

    def refunded_elsewhere(self, heading: str) -> Mapping[str, str]:
        """Order numbers, in their one spelling, that a sheet of refunds beside this one names -> that sheet.

        heading: of the column with the order number, here and mostly there."""


def named(cells: Sequence[Cell], most: int) -> tuple[str, ...]:
    """Headings made unique: blanks become `column C`, repeats `Colour (2)`; trailing blanks are left out.

    Raises UnreadableFile where there are more than `most`, before any is looked at closely.
    """
    width = len(cells)
    while width and is_blank(cells[width - 1 : width]):
        width -= 1
    if width > most:
        raise UnreadableFile(f"{width} columns are more than {most}", "leave out columns that are not needed")
    names: list[str] = []
    taken: set[str] = set()
    repeats: Counter[str] = Counter()
    for place, cell in enumerate(cells[:width]):
        # Cut before the words are told apart: a heading of megabytes is nobody's.
        text = readable(" ".join(str(cell)[:1000].split())[:200]) if cell is not None else ""
        name = base = text or f"column {letters(place)}"
        while name.casefold() in taken:
            repeats[base.casefold()] += 1
            name = f"{base} ({repeats[base.casefold()] + 1})"
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
    for cell in cells:  # noqa: SIM110 - a loop that ends at the first cell of nearly every row: each row of a table is asked
        if cell is not None and not (isinstance(cell, str) and not cell.strip()):
            return False
    return True
