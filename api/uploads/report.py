"""What came of an upload: order lines, rows kept aside with reason and remedy, what was dropped and assumed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from api.uploads.rows import Cell, Source


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Orders alike in one row. colourways: one for each unit of the tier in order, None: not chosen yet.

    row: row of the table. count: how many orders.
    """

    row: int
    ref: str
    tier: str
    colourways: tuple[str | None, ...]
    add_ons: Mapping[str, int]
    country: str
    count: int
    date: date | None


@dataclass(frozen=True, slots=True)
class SetAside:
    """A row that was not taken. line: line of a text file; cells: its mapped cells as they may be shown."""

    row: int
    line: int | None
    field: str
    reason: str
    remedy: str
    cells: Mapping[str, str]


@dataclass(frozen=True)
class Repeat:
    """Rows with the same reference (or, in a table of counts, the same contents)."""

    what: str
    rows: tuple[int, ...]
    kept: bool


@dataclass
class OrdersRead:
    """The outcome. rows = len(lines) + len(set_aside) always; blank rows are counted apart."""

    source: Source
    rows: int = 0
    blank_rows: int = 0
    lines: list[OrderLine] = field(default_factory=list)
    set_aside: list[SetAside] = field(default_factory=list)
    repeats: list[Repeat] = field(default_factory=list)
    dropped: dict[str, str] = field(default_factory=dict)
    """Columns with personal data, with the kind; their cells were never kept."""
    unused: tuple[str, ...] = ()
    """Other columns that no field is mapped to."""
    missing_choices: int = 0
    """Units whose colourway was not chosen, counted over all orders."""
    notes: list[str] = field(default_factory=list)

    @property
    def orders(self) -> int:
        """Orders in the lines taken."""
        return sum(line.count for line in self.lines)

    def reasons(self) -> dict[tuple[str, str], int]:
        """(field, reason without the cell's own words) -> rows, most frequent first."""
        counts: dict[tuple[str, str], int] = {}
        for aside in self.set_aside:
            key = (aside.field, aside.reason)
            counts[key] = counts.get(key, 0) + 1
        return dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))

    def set_aside_sheet(self) -> tuple[Sequence[str], Sequence[Sequence[Cell]]]:
        """Headings and rows for an export, so that the maker can mend the rows and upload just these."""
        columns = list(dict.fromkeys(name for aside in self.set_aside for name in aside.cells))
        headings = ["Row", "Field", "Reason", "Remedy", *columns]
        rows: list[list[Cell]] = [
            [aside.row, aside.field, aside.reason, aside.remedy, *(aside.cells.get(c, "") for c in columns)]
            for aside in self.set_aside
        ]
        return headings, rows
