"""Rows of a CSV file, with any delimiter, in bounded memory; a spoiled row never takes its neighbours with it.

The format is RFC 4180 with what exports really do: other delimiters, a `sep=` line, cells with line breaks.
A quote mark that is never closed would swallow every row after it. So where a record that spans lines is broken,
or one of its lines looks like a row of its own, only its first line is set aside and reading goes on at the next.
"""

import csv
import io
import re
from collections import Counter, deque
from collections.abc import Iterator, Mapping, Sequence
from typing import BinaryIO

from api.uploads.encodings import find_encoding
from api.uploads.limits import Limits, UnreadableFile, nothing_read
from api.uploads.rows import Cell, Counted, Formula, Plausible, Row, Source, is_blank, named

_COMMON = (",", ";", "\t", "|")
_RARE = ("^", "~", "\x1f", "\x1e", ":", "!", "#", "/")
_SEP_LINE = re.compile(r"\ufeff?sep=(.)\s*", re.IGNORECASE)
_QUOTES = "quote marks do not pair"


class CsvTable:
    """A CSV file with a heading row."""

    def __init__(
        self,
        file: BinaryIO,
        limits: Limits,
        encoding: str | None = None,
        delimiter: str | None = None,
        heading_row: int | None = None,
    ) -> None:
        self._file, self._limits = file, limits
        self._encoding = find_encoding(file, encoding)
        if delimiter is not None and (len(delimiter) != 1 or delimiter in '"\r\n'):
            raise UnreadableFile(f"delimiter {delimiter!r} cannot be used", "give one character, e.g. ;")
        first, has_sep = self._first_lines(delimiter)
        self._delimiter = first
        notes = [f"encoding: {self._encoding.why}"] if self._encoding.why else []
        if has_sep:
            notes.append("the first line names the delimiter and is not a row of the table")
        self.source = Source("CSV", self._encoding.codec, self._delimiter, notes=notes)
        self._headings_at = 0
        above = Counted(limits, limits.blank_rows)
        for row in self._records(None):
            above.add(row.cells, is_blank(row.cells))
            if heading_row is not None and row.number < heading_row:
                continue
            if heading_row is None and ((is_blank(row.cells) and not row.fault) or (has_sep and row.number == 1)):
                continue
            if row.fault:
                raise UnreadableFile(f"the heading row (line {row.line}) cannot be read: {row.fault}", "mend it")
            self._headings_at = row.number
            self.headings = named(row.cells, limits.columns)
            break
        if not self._headings_at or not self.headings:
            raise nothing_read(heading_row)
        self.source.heading_row = self._headings_at

    def rows(self, plausible: Plausible | None = None) -> Iterator[Row]:
        """Rows below the headings; raises UnreadableFile past the limits of rows and cells."""
        counted = Counted(self._limits, self._limits.blank_rows)
        for row in self._records(plausible):
            if row.number <= self._headings_at:
                continue
            counted.add(row.cells, not row.fault and is_blank(row.cells))
            yield row

    def refunded_elsewhere(self, heading: str) -> Mapping[str, str]:
        """A text file has no other sheets."""
        return {}

    def _text(self) -> io.TextIOWrapper:
        self._file.seek(0)
        return io.TextIOWrapper(
            _KeptOpen(self._file), encoding=self._encoding.codec, errors=self._encoding.errors, newline=None
        )

    def _first_lines(self, chosen: str | None) -> tuple[str, bool]:
        """The delimiter, and whether a `sep=` line names it."""
        lines = []
        for text, _, _ in self._lines():
            lines.append(text)
            if len(lines) >= 60:
                break
        if lines and (sep := _SEP_LINE.fullmatch(lines[0])):
            return chosen or sep[1], True
        return chosen or _likeliest(lines), False

    def _lines(self) -> Iterator[tuple[str, bool, bool]]:
        """Lines without their end; whether one was too long (and cut), and whether its end is missing."""
        most = self._limits.line_chars
        text = self._text()
        while line := text.readline(most):
            if line.endswith("\n"):
                yield line[:-1], False, False
                continue
            too_long, ended = len(line) >= most, False
            while rest := text.readline(most):
                if rest.endswith("\n"):
                    ended = True
                    break
            yield line, too_long, not ended

    def _records(self, plausible: Plausible | None) -> Iterator[Row]:
        lines = enumerate(self._lines(), start=1)
        waiting: deque[tuple[int, tuple[str, bool, bool]]] = deque()
        number = again = 0
        while True:
            at, line = waiting.popleft() if waiting else next(lines, (0, ("", False, False)))
            if at == 0:
                return
            number += 1
            text, too_long, endless = line
            if too_long:
                yield Row(number, at, (), f"the line is longer than {self._limits.line_chars} characters", endless)
                continue
            if '"' not in text:
                plain = text.split(self._delimiter)
                yield Row(number, at, _formulas(plain) if "=" in text else plain, "", endless)
                continue
            taken, length = [(at, line)], len(text)
            cells = self._parse([text])
            while cells is None and len(taken) <= self._limits.record_lines:
                more = waiting.popleft() if waiting else next(lines, None)
                if more is None:
                    break
                taken.append(more)
                length += len(more[1][0])
                if more[1][1] or length > self._limits.record_chars:
                    break
                if '"' in more[1][0]:
                    again += length
                    if again > self._limits.again_chars:
                        raise UnreadableFile(f"in too many rows, up to line {at}, {_QUOTES}", "mend the quote marks")
                    cells = self._parse([t for _, (t, _, _) in taken])
            if cells is None or cells is _BROKEN or (len(taken) > 1 and self._swallowed(taken, cells, plausible)):
                waiting.extendleft(reversed(taken[1:]))
                yield Row(number, at, (), _QUOTES, endless)
                continue
            yield Row(number, at, _formulas(cells), "", taken[-1][1][2])

    def _parse(self, lines: Sequence[str]) -> list[str] | None:
        """Cells of one record; None while a quoted cell is still open, _BROKEN when no further line can mend it."""
        try:
            return next(csv.reader(["\n".join(lines)], delimiter=self._delimiter, strict=True))
        except csv.Error as error:
            return None if "unexpected end" in str(error) else _BROKEN
        except StopIteration:
            return []

    def _swallowed(
        self, taken: Sequence[tuple[int, tuple[str, bool, bool]]], cells: Sequence[str], plausible: Plausible | None
    ) -> bool:
        """Whether a record over several lines holds rows of its own, or has the wrong number of cells."""
        headings = getattr(self, "headings", None)
        if headings is not None and len(cells) != len(headings):
            return True
        if plausible is None:
            return False
        for _, (text, _, _) in taken[1:]:
            if text.count('"') % 2:
                continue  # the end of a cell over several lines, not a row of its own
            alone = self._parse([text])
            if alone and alone is not _BROKEN and plausible(alone):
                return True
        return False


_BROKEN: list[str] = ["broken"]


class _KeptOpen(io.BufferedIOBase):
    """Lets a text layer come and go without closing the file beneath it."""

    def __init__(self, file: BinaryIO) -> None:
        self._file = file

    @property
    def name(self) -> str:
        """A text layer names itself after the file beneath it."""
        return self._file.name

    def readable(self) -> bool:
        return True

    def read(self, size: int | None = -1, /) -> bytes:
        return self._file.read(-1 if size is None else size)

    def read1(self, size: int = -1, /) -> bytes:
        return self._file.read(size if size > 0 else io.DEFAULT_BUFFER_SIZE)


def _formulas(cells: Sequence[str]) -> Sequence[Cell]:
    """A cell that begins with = is a formula to any spreadsheet program."""
    return [Formula(cell) if cell.startswith("=") else cell for cell in cells]


def _likeliest(lines: Sequence[str]) -> str:
    """The delimiter that cuts most lines into as many cells as the first one; a comma if none cuts any."""
    filled = [line for line in lines if line.strip()]
    for candidates in (_COMMON, _RARE):
        best, best_score = "", (0.0, 0)
        for candidate in candidates:
            widths = [_width(line, candidate) for line in filled]
            usual, times = Counter(widths).most_common(1)[0] if widths else (1, 0)
            if usual > 1 and (times / len(widths), usual) > best_score:
                best, best_score = candidate, (times / len(widths), usual)
        if best:
            return best
    return ","


def _width(line: str, delimiter: str) -> int:
    try:
        return len(next(csv.reader([line], delimiter=delimiter)))
    except (csv.Error, StopIteration):
        return 1
