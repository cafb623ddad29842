"""A list as CSV (RFC 4180), for spreadsheet programs and scripts alike."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime

from api.exports.values import Calculated, Value, calculates, clean

_CHUNK_ROWS = 1000


def csv_bytes(headings: Sequence[str], rows: Iterable[Sequence[Value]], delimiter: str = ",") -> Iterator[bytes]:
    """The list in pieces: UTF-8 with byte order mark (so that spreadsheet programs see accents), CRLF line ends.

    Dates as 2027-01-31, moments as 2027-01-31 06:00:00 on the wall clock they carry, numbers with a point and at most
    six places, so that 652.704 is not said as 652.7040000000001. A text that a spreadsheet program might run gets an
    apostrophe before it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\r\n")
    writer.writerow([_text(heading) for heading in headings])
    yield b"\xef\xbb\xbf"
    for number, row in enumerate(rows, start=1):
        writer.writerow([_text(value) for value in row])
        if number % _CHUNK_ROWS == 0:
            yield out.getvalue().encode()
            out.seek(0)
            out.truncate()
    yield out.getvalue().encode()


def _text(value: Value) -> str:
    if value is None:
        return ""
    if isinstance(value, Calculated):
        return _text(value.value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return value.replace(tzinfo=None).isoformat(" ", "seconds")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (int, float)):
        return repr(round(value, 6))
    text = clean(value)
    return "'" + text if calculates(text) else text
