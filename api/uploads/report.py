"""What came of an upload: order lines, rows kept aside with reason and remedy, what was dropped and assumed."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from api.uploads.rows import Cell, Source

WHY = ("Why set aside", "What to do", "Row in the table")
"""Headings behind those of the table, in what is given back of the rows set aside."""
LEFT_ASIDE = "leave it aside; if it is an order all the same, tick that on the page, or clear this cell in the table"
"""What to do with a row that is no order for a reason that its own cells, as they are kept, do not show."""

Day = date


@dataclass(frozen=True, slots=True)
class OrderLine:
    """Orders alike in one row. colourways: one for each unit of the tier in order, None: not chosen yet.

    row: row of the table. count: how many orders. opens: day from which they can be packed; None: now.
    """

    row: int
    ref: str
    tier: str
    colourways: tuple[str | None, ...]
    add_ons: Mapping[str, int]
    country: str
    count: int
    date: date | None
    opens: Day | None = None

    def __reduce__(self) -> tuple[type["OrderLine"], tuple[object, ...]]:
        """Made again from its values: a hundred thousand of them travel from the process that read the table."""
        return OrderLine, (
            self.row, self.ref, self.tier, self.colourways, self.add_ons, self.country, self.count, self.date,
            self.opens,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class SetAside:
    """A row that was not taken. line: line of a text file; cells: its mapped cells as they may be shown.

    wording: the words nobody knows, where that is why, as they may be shown; near: the id they are nearest to.
    refund_in: the column that speaks of a refund or a cancellation, where that is why.
    held_by: the row of the same reference that does not count, where that is why.
    kept: the cells of OrdersRead.columns as they stand; empty where nobody knows which column a cell belongs to.
    """

    row: int
    line: int | None
    field: str
    reason: str
    remedy: str
    cells: Mapping[str, str]
    wording: str = ""
    near: str | None = None
    kept: tuple[str, ...] = ()
    refund_in: str = ""
    held_by: int | None = None

    def __reduce__(self) -> tuple[type["SetAside"], tuple[object, ...]]:
        """As an order line's."""
        return SetAside, (
            self.row, self.line, self.field, self.reason, self.remedy, self.cells, self.wording, self.near, self.kept,
            self.refund_in, self.held_by,
        )  # fmt: skip


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
    columns: tuple[str, ...] = ()
    """The columns that are read, as in the table: what is kept of rows set aside."""
    lines: list[OrderLine] = field(default_factory=list)
    set_aside: list[SetAside] = field(default_factory=list)
    statuses: dict[str, int] = field(default_factory=dict)
    """What the status column says -> rows, the most frequent first."""
    repeats: list[Repeat] = field(default_factory=list)
    dropped: dict[str, str] = field(default_factory=dict)
    """Columns with personal data, with the kind; their cells were never kept."""
    unused: tuple[str, ...] = ()
    """Other columns that no field is mapped to."""
    missing_choices: int = 0
    """Units whose colourway was not chosen, counted over all orders."""
    one_colour: int = 0
    """Orders of several units of which one alone has a colour, though all come in it."""
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

    def unknown_wordings(self) -> list[tuple[str, str, str | None, int]]:
        """(field, words nobody knows, the id they are nearest to, rows), most frequent first."""
        rows: Counter[tuple[str, str]] = Counter()
        near: dict[tuple[str, str], str | None] = {}
        for aside in self.set_aside:
            if aside.wording:
                field_name = re.sub(r"^(colour|add.on).*", r"\1", aside.field).replace("-", "_")
                rows[field_name, aside.wording] += 1
                near[field_name, aside.wording] = aside.near
        return [(field_name, wording, near[field_name, wording], n) for (field_name, wording), n in rows.most_common()]


def set_aside_sheet(
    columns: Sequence[str], set_aside: Sequence[SetAside]
) -> tuple[Sequence[str], Sequence[Sequence[Cell]]]:
    """Rows set aside under the table's own columns, with the reason, the remedy and the row's number behind them."""
    taken = {name.casefold() for name in columns}
    ours = [name if name.casefold() not in taken else f"{name} (said here)" for name in WHY]
    blank = [""] * len(columns)
    rows: list[list[Cell]] = [
        [*(aside.kept or blank), f"{aside.field}: {aside.reason}", aside.remedy, aside.row] for aside in set_aside
    ]
    return [*columns, *ours], rows
