"""Rows of an XLSX workbook, streamed from its sheet in bounded memory; formula cells are told apart from values.

Our own walk over the sheet, because a general-purpose reader either loads the whole book or takes minutes, and trusts
the stated dimension and row numbers, which can hide rows. Dates and styles are the library's sums.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import BinaryIO

from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel

from api.uploads.known import order_key, plain
from api.uploads.limits import Limits, UnreadableFile, nothing_read
from api.uploads.rows import Cell, Counted, Formula, Plausible, Row, Source, is_blank, named
from api.uploads.sheet_choice import LOOKED_AT, MOST_SHEETS, SheetLook, likeliest, look_at
from api.uploads.sheet_layout import SheetLayout
from api.uploads.status import never_counts, speaks_of_refund
from api.uploads.workbook_parts import WorkbookParts
from api.uploads.xml_parts import DAMAGED, walk

_LAST_ROW = 1_048_576
STRUCK, SAID = "crossed out", "comments on cells"
"""How what marks a row beside its cells is called."""


class XlsxTable:
    """One sheet of a workbook with a heading row."""

    def __init__(
        self, file: BinaryIO, limits: Limits, sheet: str | None = None, heading_row: int | None = None
    ) -> None:
        self._limits = limits
        self._book = WorkbookParts(file, limits)
        titles = [s.title for s in sorted(self._book.sheets, key=lambda s: not s.visible)]
        if not titles:
            raise UnreadableFile("the workbook has no sheet with cells", "put the orders on a sheet")
        if sheet is not None and sheet not in titles:
            raise UnreadableFile(f"the workbook has no sheet {sheet!r}", f"choose one of {', '.join(titles)}")
        chosen = likeliest(self._looks()) if sheet is None and len(titles) > 1 else sheet
        for title in [sheet] if sheet is not None else sorted(titles, key=lambda title: title != chosen):
            self._part = next(s.part for s in self._book.sheets if s.title == title)
            if found := self._find_headings(heading_row):
                self._headings_at, self.headings = found
                break
        else:
            raise nothing_read(heading_row)
        others = tuple(s.title for s in self._book.sheets if s.title != title)
        self.source = Source("XLSX", sheet=title, other_sheets=others, heading_row=self._headings_at)
        if sheet is None and title == chosen != titles[0]:
            self.source.notes.append(f"sheet {title!r} looks most like orders; {titles[0]!r} comes first")
        if others:
            self.source.notes.append(f"read sheet {title!r}; not read: {', '.join(others)}")
        self._spoken_of = {row for row, text in self._book.comments(self._part) if speaks_of_refund(text)}
        if refunds := [t for t in others if _of_refunds(t)]:
            self.source.notes.append(f"orders that sheet {' or '.join(map(repr, refunds))} names are set aside")
        self._layout = SheetLayout(self._book.archive, self._part)
        if self._layout.hidden:
            self.source.notes.append(f"hidden rows are read too: {self._layout.hidden} of them")
        if merged := self._layout.merged_below(self._headings_at):
            self.source.notes.append(f"cells merged over several rows count for each of them: {merged} such cells")

    def rows(self, plausible: Plausible | None = None) -> Iterator[Row]:
        """Rows below the headings; raises UnreadableFile past the limits of rows and cells or on a damaged sheet."""
        counted = Counted(self._limits)
        for number, cells in self._layout.filled(self._cells(len(self.headings) + 1)):
            if number <= self._headings_at:
                continue
            counted.add(cells, is_blank(cells))
            yield Row(number, None, cells, marks=self._marks(number))

    def refunded_elsewhere(self, heading: str) -> Mapping[str, str]:
        """By the column of that heading, or by any cell where a sheet of refunds has none."""
        found: dict[str, str] = {}
        for sheet in self._book.sheets:
            if sheet.title == self.source.sheet or not _of_refunds(sheet.title):
                continue
            counted, at = Counted(self._limits), None
            for _, cells in self._cells(self._limits.columns, sheet.part):
                counted.add(cells, is_blank(cells))
                if at is None:
                    at = next((n for n, cell in enumerate(cells) if plain(str(cell)) == plain(heading)), None)
                for cell in cells if at is None else cells[at : at + 1]:
                    if cell is not None and (key := order_key(str(cell).strip())):
                        found.setdefault(key, sheet.title)
        return found

    def _looks(self) -> list[SheetLook]:
        """The first rows of each sheet people see, where one has any; a damaged sheet is like none."""
        looks = []
        seen = [s for s in self._book.sheets if s.visible] or self._book.sheets
        for one in seen[:MOST_SHEETS]:
            rows: list[Sequence[Cell]] = []
            try:
                for _, cells in self._cells(self._limits.columns + 1, one.part):
                    rows += [] if is_blank(cells) else [cells]
                    if len(rows) == LOOKED_AT:
                        break
            except UnreadableFile:
                rows = []
            looks.append(look_at(one.title, rows, _of_refunds(one.title)))
        return looks

    def _marks(self, number: int) -> tuple[tuple[str, str], ...]:
        struck = ((STRUCK, "cells of it are crossed out"),) if number in self._struck else ()
        return (
            *struck,
            *(((SAID, "a comment on it speaks of a refund or a cancellation"),) * (number in self._spoken_of)),
        )

    def _find_headings(self, heading_row: int | None) -> tuple[int, tuple[str, ...]] | None:
        for number, cells in self._cells(self._limits.columns + 1):
            if number < (heading_row or 1) or (heading_row is None and is_blank(cells)):
                continue
            names = named(cells, self._limits.columns)
            return (number, names) if names else None
        return None

    def _cells(self, columns: int, part: str = "") -> Iterator[tuple[int, Sequence[Cell]]]:
        walker = _SheetWalker(self._book, columns, self._limits.cell_chars + 1)
        self._struck = walker.struck
        for _ in walk(self._book.archive, part or self._part, walker):
            yield from walker.ready
            walker.ready.clear()


def _of_refunds(title: str) -> bool:
    """Whether a sheet holds orders that were paid back: `Refunds 2027`, `Returns`."""
    return speaks_of_refund(title) or never_counts(title)


class _SheetWalker:
    """Collects rows as (number, cells); cells past `columns` are left out, texts are cut at `longest`."""

    def __init__(self, book: WorkbookParts, columns: int, longest: int) -> None:
        self.ready: list[tuple[int, Sequence[Cell]]] = []
        self.struck: set[int] = set()
        """Rows some cell of which holds something that is crossed out."""
        self._book, self._columns, self._longest = book, columns, longest
        self._epoch = CALENDAR_MAC_1904 if book.from_1904 else CALENDAR_WINDOWS_1900
        self._places: dict[str, int] = {}
        self._number = 0
        self._row: list[Cell] = []
        self._place = -1
        self._kind = self._style = ""
        self._formula = self._reading = self._phonetic = False
        self._pieces: list[str] = []
        self._size = 0

    def start(self, name: str, attributes: dict[str, str]) -> None:
        if name == "c":
            reference = attributes.get("r")
            self._place = self._place + 1 if reference is None else self._column(reference)
            self._kind, self._style = attributes.get("t", "n"), attributes.get("s", "")
            self._formula = False
            self._pieces, self._size = [], 0
        elif name == "v" or name == "t":
            self._reading = not self._phonetic
        elif name == "f":
            self._formula = True
        elif name == "row":
            self._begin_row(attributes.get("r"))
        elif name == "rPh":
            self._phonetic = True

    def text(self, data: str) -> None:
        if self._reading and self._size < self._longest:
            self._pieces.append(data[: self._longest - self._size])
            self._size += len(data)

    def end(self, name: str) -> None:
        if name == "v" or name == "t":
            self._reading = False
        elif name == "c":
            if self._place < self._columns:
                self._row += [None] * (self._place + 1 - len(self._row))
                self._row[self._place] = value = self._value()
                if value not in (None, "") and self._is_struck():
                    self.struck.add(self._number)
        elif name == "row":
            self.ready.append((self._number, self._row))
        elif name == "rPh":
            self._phonetic = False

    def _begin_row(self, number: str | None) -> None:
        here = self._number + 1
        if number is not None:
            here = int(number) if number.isascii() and number.isdigit() and len(number) < 9 else 0
        if not self._number < here <= _LAST_ROW:
            raise UnreadableFile(f"row {number} comes after row {self._number}", DAMAGED)
        self._number, self._row, self._place = here, [], -1

    def _column(self, reference: str) -> int:
        letters = reference.rstrip("0123456789")
        place = self._places.get(letters)
        if place is None:
            if not (letters.isascii() and letters.isalpha() and len(letters) <= 3):
                raise UnreadableFile(f"there is no cell {reference[:20]!r}", DAMAGED)
            place = 0
            for letter in letters.upper():
                place = place * 26 + ord(letter) - 64
            place -= 1
            self._places[letters] = place
        return place

    def _is_struck(self) -> bool:
        if self._style in self._book.struck_styles:
            return True
        return self._kind == "s" and bool(self._book.struck_texts) and int(self._pieces[0]) in self._book.struck_texts

    def _value(self) -> Cell:
        text = self._pieces[0] if len(self._pieces) == 1 else "".join(self._pieces)
        if self._formula:
            return Formula(text)
        kind = self._kind
        if kind == "s":
            try:
                return self._book.texts[int(text)]
            except (ValueError, IndexError):
                raise UnreadableFile("a cell names a text that is not there", DAMAGED) from None
        if kind == "inlineStr" or kind == "str" or kind == "e":
            return text
        if not text:
            return None
        if kind == "b":
            return text == "1"
        if kind == "d":
            return text
        return self._number_or_date(text)

    def _number_or_date(self, text: str) -> Cell:
        try:
            number: int | float = int(text) if text.isdigit() else float(text)
        except ValueError:
            return text
        if self._style not in self._book.date_styles:
            return number
        try:
            moment = from_excel(number, self._epoch)
        except (ValueError, OverflowError):
            return text
        return moment if isinstance(moment, (datetime, date)) else str(moment)
