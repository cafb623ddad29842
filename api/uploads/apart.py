"""Tables are read in a process of their own: what takes too long or too much ends with it, and holds up nobody."""

import io
from collections.abc import Callable, Iterator, Mapping
from typing import BinaryIO, Concatenate, ParamSpec, TypeVar

from api.apart.process import Allowance, Ended, Places, call, may_take
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.rows import Plausible, Row, Table, Where
from api.uploads.tables import open_table

Answer = TypeVar("Answer")
More = ParamSpec("More")
READING = Places(most=2, waiting=8, patience=30.0)
"""How many tables are read at a time; a reader may take a core, and plans want theirs."""
MEMORY_BYTES = 1_500 * 2**20


_A_ROW, _A_CELL = 120e-6, 4e-6
"""Seconds of processor time that are earned: some three times what good tables took on a busy machine (40 microseconds
a row of text, 55 of a workbook, of ten cells)."""


def allowance(size: int) -> Allowance:
    """For a file of so many bytes: two seconds of processor time to open it, a second more for each four MiB, since the
    texts that a large workbook's cells share are read before its first row. Rows earn more."""
    return Allowance(2 + size // 2**22, longest=120.0, memory_bytes=MEMORY_BYTES, most_seconds=40)


def read_table(
    file: BinaryIO | bytes,
    limits: Limits,
    where: Where,
    work: Callable[Concatenate[Table, More], Answer],
    *arguments: More.args,
    **named: More.kwargs,
) -> Answer:
    """What `work(table, ...)` gives for the table in a file, worked out in a process of its own.

    work: a function of a module. Raises UnreadableFile, also where time or memory ran out; Busy; what work raises.
    """
    content = file if isinstance(file, bytes) else _all_of(file, limits)
    try:
        answer: Answer = call(READING, allowance(len(content)), _read, content, limits, where, work, arguments, named)
        return answer
    except Ended as ended:
        raise UnreadableFile(_said(ended), "split the file, or save only the columns that are needed") from None


def _all_of(file: BinaryIO, limits: Limits) -> bytes:
    file.seek(0)
    return file.read(limits.file_bytes + 1)


def _said(ended: Ended) -> str:
    if ended.by == "time":
        return "reading it took longer than a table with so many rows should"
    if ended.by == "memory":
        return "reading it took more memory than one file may have"
    return "the process that read it ended before it was through"


def _read(
    content: bytes,
    limits: Limits,
    where: Where,
    work: Callable[..., Answer],
    arguments: tuple[object, ...],
    named: dict[str, object],
) -> Answer:
    table = open_table(io.BytesIO(content), limits, sheet=where.sheet, heading_row=where.heading_row)
    return work(_Earning(table, allowance(len(content)).seconds), *arguments, **named)


class _Earning:
    """The table; each row walked earns the process time to work on it. given: seconds it has anyway."""

    def __init__(self, table: Table, given: int) -> None:
        self._table, self._given, self._earned = table, given, 0.0
        self.headings, self.source = table.headings, table.source

    def refunded_elsewhere(self, heading: str) -> Mapping[str, str]:
        """The table's."""
        return self._table.refunded_elsewhere(heading)

    def rows(self, plausible: Plausible | None = None) -> Iterator[Row]:
        """The table's."""
        before = int(self._earned)
        for row in self._table.rows(plausible):
            self._earned += _A_ROW + _A_CELL * len(row.cells)
            if self._earned > before + 0.5:
                before = int(self._earned)
                may_take(self._given + before + 1)
            yield row
