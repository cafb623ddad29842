"""The order book of a campaign: lines taken from a table and rows set aside, as they are kept, and read again.

Kept of a row set aside are the cells of the columns that are read; whoever puts them right has the row read anew, and
with it all the others, since a row may hold back others of its reference.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any

from api.uploads.known import Known, order_key
from api.uploads.mapping import ColumnMapping
from api.uploads.orders import read_orders
from api.uploads.report import OrderLine, OrdersRead, SetAside
from api.uploads.rows import Cell, Formula, Plausible, Row, Source

_DAYS = ("date", "opens")
"""Fields of an order line that are days; books of before have no `opens`."""


@dataclass(frozen=True)
class KeptAside:
    """A row set aside under the id it is kept by."""

    id: str
    aside: SetAside


def lines_said(lines: Sequence[OrderLine]) -> list[dict[str, Any]]:
    """Order lines as JSON."""
    return [
        asdict(line)
        | {"add_ons": dict(line.add_ons)}
        | {name: day.isoformat() if (day := getattr(line, name)) else None for name in _DAYS}
        for line in lines
    ]


def lines_heard(said: Sequence[Mapping[str, Any]]) -> list[OrderLine]:
    """Order lines from JSON."""
    return [
        OrderLine(
            **dict(one)
            | {
                "colourways": tuple(one["colourways"]),
            }
            | {name: date.fromisoformat(day) if (day := one.get(name)) else None for name in _DAYS}
        )
        for one in said
    ]


def aside_said(aside: SetAside) -> tuple[int, str, dict[str, Any]]:
    """(row, reason, what is kept) of a row set aside, as JSON."""
    names = ("line", "field", "remedy", "wording", "near", "refund_in", "held_by")
    return aside.row, aside.reason, {name: getattr(aside, name) for name in names} | {"kept": list(aside.kept)}


def aside_heard(row: int, reason: str, said: Mapping[str, Any]) -> SetAside:
    """A row set aside from JSON."""
    return SetAside(
        row, said["line"], said["field"], reason, said["remedy"], {}, said["wording"], said["near"],
        tuple(said["kept"]), said["refund_in"], said.get("held_by"),
    )  # fmt: skip


class KeptTable:
    """Rows set aside as a table again, under the columns that are read; numbered from 1 in their order."""

    def __init__(self, columns: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        self.headings = tuple(columns)
        self.source = Source("kept", heading_row=0)
        self._rows = rows

    def rows(self, plausible: Plausible | None = None) -> Iterator[Row]:
        """Each row, in order."""
        for number, cells in enumerate(self._rows, 1):
            read: list[Cell] = [Formula(cell) if cell.startswith("=") else cell for cell in cells]
            yield Row(number, None, [*read, *[""] * (len(self.headings) - len(cells))])

    def refunded_elsewhere(self, heading: str) -> Mapping[str, str]:
        """A table of rows kept has no other sheets."""
        return {}


@dataclass(frozen=True)
class ReadAgain:
    """What came of reading rows set aside again. taken: rows that are orders now."""

    lines: list[OrderLine]
    set_aside: list[SetAside]
    taken: int


def added(
    before: Sequence[OrderLine], asides: Sequence[SetAside], columns: Sequence[str], ref: str | None, read: OrdersRead
) -> ReadAgain:
    """The book with a further table's rows: those set aside before give way to rows of the same reference.

    ref: the column of references. A reference of which the further table brings fewer rows than were set aside stays
    aside: one of those left out may say that there is no order any more.
    """
    at = columns.index(ref) if ref in columns else None

    def of(aside: SetAside) -> str:
        return order_key(aside.kept[at]) if at is not None and at < len(aside.kept) else ""

    brought = Counter(order_key(line.ref) for line in read.lines)
    brought.update(order_key(aside.cells.get("ref", "")) for aside in read.set_aside)
    waiting = Counter(key for aside in asides if (key := of(aside)))
    short = {key for key in waiting.keys() & brought.keys() if key and brought[key] < waiting[key]}
    lines = [line for line in read.lines if order_key(line.ref) not in short]
    still = [aside for aside in asides if not (key := of(aside)) or key not in brought or key in short]
    still += [aside for aside in read.set_aside if order_key(aside.cells.get("ref", "")) not in short]
    return ReadAgain([*before, *lines], still, len(lines))


def is_unseen(aside: SetAside, columns: Sequence[str]) -> bool:
    """Whether a row is no order by what is not among its kept cells: a remark, a comment, letters crossed out."""
    return bool(aside.refund_in) and aside.refund_in not in columns


def read_again(
    columns: Sequence[str],
    lines: Sequence[OrderLine],
    asides: Sequence[SetAside],
    mended: Mapping[int, Sequence[str]],
    mapping: ColumnMapping,
    known: Known,
    all_the_same: Collection[int] = (),
) -> ReadAgain:
    """All rows set aside read again, with the cells that were put right. mended: place in `asides` -> its cells.

    A row of which no cell was kept stays aside until its cells are typed in, and one that is no order by what its kept
    cells do not show until the maker says that it is one (all_the_same: places); so does what such a row holds back.
    Raises MappingProblem.
    """
    cells = {at: list(mended.get(at, aside.kept)) for at, aside in enumerate(asides)}
    blank = {at for at, row in cells.items() if not any(cell.strip() for cell in row)}
    unseen = {at for at, aside in enumerate(asides) if is_unseen(aside, columns)}
    left = blank | (unseen - set(all_the_same))
    rows_left = {asides[at].row for at in left}
    left |= {at for at, aside in enumerate(asides) if aside.held_by in rows_left and at not in all_the_same}
    readable = [at for at in cells if at not in left]
    table = KeptTable(columns, [cells[at] for at in readable])
    read: OrdersRead = read_orders(table, mapping, known, before=lines)
    taken = [replace(line, row=asides[readable[line.row - 1]].row) for line in read.lines]
    still = {
        readable[one.row - 1]: replace(
            one, row=asides[readable[one.row - 1]].row, line=asides[readable[one.row - 1]].line,
            kept=tuple(cells[readable[one.row - 1]]),
        )
        for one in read.set_aside
    }  # fmt: skip
    still |= {at: replace(asides[at], kept=() if at in blank else tuple(cells[at])) for at in left}
    return ReadAgain([*lines, *taken], [still[at] for at in sorted(still)], len(taken))
