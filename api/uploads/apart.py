"""Tables are read in a process of their own: what takes too long or too much ends with it, and holds up nobody."""

import io
from collections.abc import Callable
from typing import BinaryIO, Concatenate, ParamSpec, TypeVar

from api.apart.process import Allowance, Ended, Places, call
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.rows import Table, Where
from api.uploads.tables import open_table

Answer = TypeVar("Answer")
More = ParamSpec("More")
READING = Places(most=2, waiting=8, patience=30.0)
"""How many tables are read at a time; a reader may take a core, and plans want theirs."""
MEMORY_BYTES = 1_500 * 2**20


def allowance(size: int) -> Allowance:
    """What reading a file of so many bytes may take: five times what good ones were seen to take, a minute at most."""
    seconds = min(60, 10 + 5 * size // 2**20)
    return Allowance(seconds, longest=4.0 * seconds, memory_bytes=MEMORY_BYTES)


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
    allowed = allowance(len(content))
    try:
        answer: Answer = call(READING, allowed, _read, content, limits, where, work, arguments, named)
        return answer
    except Ended as ended:
        raise UnreadableFile(
            _said(ended, allowed), "split the file, or save only the columns that are needed"
        ) from None


def _all_of(file: BinaryIO, limits: Limits) -> bytes:
    file.seek(0)
    return file.read(limits.file_bytes + 1)


def _said(ended: Ended, allowed: Allowance) -> str:
    if ended.by == "time":
        return f"reading it took more than {allowed.seconds} seconds of work"
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
    return work(table, *arguments, **named)
