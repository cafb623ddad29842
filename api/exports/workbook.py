"""Lists in one XLSX workbook: real dates and numbers, frozen headings, sums, no text that runs as a formula. Printed,
a sheet is as wide as its paper, with its headings on every page.

Written as it is read (ECMA-376, Office Open XML: SpreadsheetML in a ZIP), so a workbook of any length takes no memory.
"""

import io
import math
import re
import zipfile
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from itertools import islice
from typing import NamedTuple
from xml.sax.saxutils import escape

from api.exports.values import Calculated, Form, Value, calculates, clean

_MOST_ROWS = 1_048_576
_LONGEST_TITLE = 31
_NOT_IN_TITLES = re.compile(r"[\[\]:*?/\\]")
_DAY_NOUGHT = date(1899, 12, 30)
"""Days are counted from here; right from March 1900 on, which the format takes for a year with a leap day."""
_FIRST_DAY = date(1900, 3, 1)
_PIECE = 64 * 1024
"""Bytes that are compressed and handed on at a time."""
_TEXTS_KNOWN = 5000
"""Texts whose cell is kept at hand: lists say the same over and over."""

_PLAIN, _HEADING, _QUOTED_HEADING, _QUOTED, _DATE, _MOMENT, _COUNT, _AMOUNT, _SHARE, _LONG, _QUOTED_LONG = range(11)
_BOLD, _BOLD_COUNT, _BOLD_AMOUNT = 11, 12, 13
"""Places in the style sheet below."""
_OF_FORM = {"count": _COUNT, "amount": _AMOUNT, "share": _SHARE}
_WIDE, _WIDE_TEXT = 60, 40
"""Characters across a column of long texts, and at most across one of other texts; what is longer is wrapped."""
_MEASURED = 200
"""Rows of a list by which its columns are made as wide as what they hold."""
_DAY_WIDE, _MOMENT_WIDE = 17, 23
"""Characters of a day and of a moment as written here, and room: a program shows #### for one that does not fit."""
_REFERENCE = re.compile(r"\[([^\]]+)\](\^{0,2})")
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_KINDS = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_FORMATS = {164: "ddd d mmm yyyy", 165: "ddd d mmm yyyy hh:mm", 166: "0.0%"}
"""Beside those every program knows: 3 for whole numbers and 4 for two places, both with the reader's own separators."""


def _style(form: int = 0, bold: bool = False, wrap: bool = False, quoted: bool = False) -> str:
    said = f'numFmtId="{form}" fontId="{int(bold)}" fillId="0" borderId="0" xfId="0"'
    said += ' applyNumberFormat="1"' if form else ""
    said += (' applyFont="1"' if bold else "") + (' quotePrefix="1"' if quoted else "")
    if not wrap:
        return f"<xf {said}/>"
    return f'<xf {said} applyAlignment="1"><alignment vertical="top" wrapText="1"/></xf>'


_CELLS = (
    _style(), _style(bold=True, wrap=True), _style(bold=True, wrap=True, quoted=True), _style(quoted=True),
    _style(164), _style(165), _style(3), _style(4), _style(166), _style(wrap=True), _style(wrap=True, quoted=True),
    _style(bold=True), _style(3, bold=True), _style(4, bold=True),
)  # fmt: skip
_STYLES = (
    f'{_XML}<styleSheet xmlns="{_MAIN}"><numFmts count="{len(_FORMATS)}">'
    + "".join(f'<numFmt numFmtId="{number}" formatCode="{code}"/>' for number, code in _FORMATS.items())
    + '</numFmts><fonts count="2"><font><sz val="11"/><name val="Calibri"/></font>'
    '<font><b/><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    f'<cellXfs count="{len(_CELLS)}">'
    + "".join(_CELLS)
    + '</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)


class Laid(NamedTuple):
    """A sheet. headings: as formulas name them. forms: how each column is written; totals: which are added up under the
    last row. shown: headings as they are read, where they are read otherwise; total: what stands before the sums."""

    headings: Sequence[str]
    rows: Iterable[Sequence[Value]]
    forms: Sequence[Form] = ()
    totals: Sequence[bool] = ()
    shown: Sequence[str] = ()
    total: str = "Total"


Sheets = Mapping[str, Laid | tuple[Sequence[str], Iterable[Sequence[Value]]]]


def workbook_bytes(sheets: Sheets, most_rows: int = _MOST_ROWS) -> bytes:
    """The workbook whole; see `workbook_pieces`."""
    return b"".join(workbook_pieces(sheets, most_rows))


def workbook_pieces(sheets: Sheets, most_rows: int = _MOST_ROWS) -> Iterator[bytes]:
    """The workbook in pieces: one sheet for each name, with headings and rows; more rows than a sheet holds go on in a
    next one.

    Moments keep the wall clock they carry (a workbook knows no time zones). Raises ValueError without any sheet.
    """
    if not sheets:
        raise ValueError("a workbook needs at least one sheet")
    return _pieces(sheets, most_rows)


def _pieces(sheets: Sheets, most_rows: int) -> Iterator[bytes]:
    out, titles = _Out(), list[str]()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as book:
        for name, given in sheets.items():
            laid = Laid(*given)
            left = _Ahead(laid.rows)
            part = 0
            while part == 0 or left.more():
                part += 1
                titles.append(_title(name, titles))
                with book.open(f"xl/worksheets/sheet{len(titles)}.xml", "w", force_zip64=True) as sheet:
                    gathered = bytearray()
                    for text in _sheet(laid, left, most_rows, part):
                        gathered += text.encode()
                        if len(gathered) >= _PIECE:
                            sheet.write(gathered)
                            gathered.clear()
                            yield out.taken()
                    sheet.write(gathered)
                yield out.taken()
        for path, text in _frame(titles):
            book.writestr(path, text)
    yield out.taken()


class _Out(io.RawIOBase):
    """Where the archive is written: forgets what was taken, and cannot go back."""

    def __init__(self) -> None:
        self._held = bytearray()

    def writable(self) -> bool:
        return True

    def write(self, piece: bytes) -> int:  # type: ignore[override]  # whatever has bytes
        self._held += piece
        return len(piece)

    def taken(self) -> bytes:
        held, self._held = bytes(self._held), bytearray()
        return held


class _Ahead(Iterator[Sequence[Value]]):
    """Rows, of which one can see whether there are more."""

    def __init__(self, rows: Iterable[Sequence[Value]]) -> None:
        self._rows = iter(rows)
        self._next: deque[Sequence[Value]] = deque()

    def more(self) -> bool:
        return bool(self.first(1))

    def first(self, most: int) -> Sequence[Sequence[Value]]:
        """The next rows, which still come afterwards."""
        self._next += islice(self._rows, max(0, most - len(self._next)))
        return self._next

    def __next__(self) -> Sequence[Value]:
        return self._next.popleft() if self._next else next(self._rows)


def _sheet(laid: Laid, rows: _Ahead, most_rows: int, part: int) -> Iterator[str]:
    """One sheet's XML, row by row, with as many rows as it holds. part: which sheet of its list it is."""
    headings, forms = laid.headings, list(laid.forms)
    shown = laid.shown or headings
    letters = [_letter(place) for place in range(len(headings))]
    seen = rows.first(_MEASURED)
    widths = "".join(
        f'<col min="{n + 1}" max="{n + 1}" customWidth="1" '
        f'width="{_width(heading, forms[n] if n < len(forms) else "", [row[n] for row in seen if n < len(row)])}"/>'
        for n, heading in enumerate(shown)
    )
    first = "".join(
        f'<c r="{letter}1" s="{_QUOTED_HEADING if calculates(text) else _HEADING}" t="inlineStr">{_text(text)}</c>'
        for letter, text in zip(letters, map(clean, shown), strict=True)
    )
    yield (
        f'{_XML}<worksheet xmlns="{_MAIN}"><sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
        '<sheetViews><sheetView workbookViewId="0">'
        '<pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews>'
        f"{f'<cols>{widths}</cols>' if widths else ''}"
        f'<sheetData><row r="1">{first}</row>'
    )
    cell = _cells(dict(zip(headings, letters, strict=True)))
    sums = [0.0] * len(headings)
    number = 1
    for row in islice(rows, most_rows - 1):
        number += 1
        while len(letters) < len(row):
            letters.append(_letter(len(letters)))
        while len(forms) < len(row):
            forms.append("")
        if cells := "".join(
            [
                f'<c r="{letter}{number}"{cell(value, form, number)}'
                for letter, value, form in zip(letters, row, forms, strict=False)
            ]
        ):
            yield f'<row r="{number}">{cells}</row>'
        for place, wanted in enumerate(laid.totals):
            if wanted:
                sums[place] += _figure(row[place])
    filtered = f'<autoFilter ref="A1:{letters[len(headings) - 1]}{number}"/>' if headings else ""
    if any(laid.totals) and number > 2 and number < most_rows and part == 1 and not rows.more():
        yield _totals(laid, sums, number)
    yield f'</sheetData>{filtered}<pageSetup orientation="landscape" fitToHeight="0"/></worksheet>'


def _width(heading: str, form: Form, values: Iterable[Value]) -> int:
    """Characters across a column: of its heading, and of what its first rows hold."""
    if form == "long":
        return _WIDE
    return min(_WIDE, max(18 if form == "figure" else 12, len(heading) + 3, *map(_room, values), 0))


def _room(value: Value) -> int:
    if isinstance(value, datetime):
        return _MOMENT_WIDE
    if isinstance(value, date):
        return _DAY_WIDE
    if isinstance(value, str):
        return min(_WIDE_TEXT, len(value) + 2)
    return len(f"{_figure(value):,.2f}") + 2


def _figure(value: Value) -> float:
    if isinstance(value, Calculated):
        return value.value
    return value if isinstance(value, int | float) else 0.0


def _totals(laid: Laid, sums: Sequence[float], last: int) -> str:
    """The row under the last one: sums of what is shown, so that they follow a filter."""
    cells = f'<c r="A{last + 1}" s="{_BOLD}" t="inlineStr">{_text(laid.total)}</c>'
    for place, wanted in enumerate(laid.totals):
        if wanted and place:
            letter, style = _letter(place), _BOLD_COUNT if laid.forms[place] == "count" else _BOLD_AMOUNT
            formula = f"SUBTOTAL(9,{letter}2:{letter}{last})"
            cells += f'<c r="{letter}{last + 1}" s="{style}"><f>{formula}</f><v>{sums[place]!r}</v></c>'
    return f'<row r="{last + 1}">{cells}</row>'


def _cells(letters: Mapping[str, str]) -> Callable[[Value, Form, int], str]:
    """How a value is written after its cell's place. letters: of the columns, by heading."""
    known: dict[tuple[str, bool], str] = {}

    def text_cell(value: str, long: bool) -> str:
        written = known.get((value, long))
        if written is None:
            text = clean(value)
            quoted = calculates(text)  # stays text when somebody edits the cell
            style = (_QUOTED_LONG if quoted else _LONG) if long else (_QUOTED if quoted else _PLAIN)
            written = f'{_styled(style)} t="inlineStr">{_text(text)}</c>'
            if len(known) >= _TEXTS_KNOWN:
                known.clear()
            known[value, long] = written
        return written

    def reference(found: re.Match[str], row: int) -> str:
        letter = letters[found[1]]
        if not found[2]:
            return f"{letter}{row}"
        if found[2] == "^^":
            return f"{letter}$2:{letter}{row}"
        return f"{letter}2:{letter}{row - 1}" if row > 2 else f"{letter}1"  # the heading, which counts as nothing

    def cell(value: Value, form: Form = "", row: int = 0) -> str:
        if value is None:
            return f"{_styled(_OF_FORM.get(form, _PLAIN))}/>"
        if isinstance(value, str):
            return text_cell(value, form == "long" or _room(value) >= _WIDE_TEXT)
        if isinstance(value, bool):
            return f' t="b"><v>{value:d}</v></c>'
        if isinstance(value, Calculated):
            formula = escape(_REFERENCE.sub(lambda found: reference(found, row), value.formula))
            return f"{_styled(_OF_FORM.get(form, _AMOUNT))}><f>{formula}</f><v>{value.value!r}</v></c>"
        if isinstance(value, int | float):
            if not math.isfinite(value):
                return text_cell(str(value), False)
            whole = _COUNT if isinstance(value, int) else _AMOUNT
            return f"{_styled(whole if form == 'figure' else _OF_FORM.get(form, _PLAIN))}><v>{value!r}</v></c>"
        day = value.date() if isinstance(value, datetime) else value
        if day < _FIRST_DAY:
            return text_cell(value.isoformat(), False)
        days = (day - _DAY_NOUGHT).days
        if not isinstance(value, datetime):
            return f"{_styled(_DATE)}><v>{days}</v></c>"
        seconds = value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6
        return f"{_styled(_MOMENT)}><v>{days + seconds / 86400!r}</v></c>"

    return cell


def _quoted(title: str) -> str:
    """A sheet's title as formulas name it."""
    doubled = title.replace("'", "''")
    return f"'{doubled}'"


def _styled(style: int) -> str:
    return f' s="{style}"' if style else ""


def _text(text: str) -> str:
    return f'<is><t xml:space="preserve">{escape(text, {chr(13): "&#13;"})}</t></is>'


def _letter(place: int) -> str:
    """A column's letters, from 0: A, B, ... Z, AA."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _frame(titles: Sequence[str]) -> Iterator[tuple[str, str]]:
    """What binds the sheets to one book: path in the archive and text."""
    numbers = range(1, len(titles) + 1)
    document = f"{_RELATIONS}/officeDocument"
    yield "xl/styles.xml", _STYLES
    yield (
        "xl/workbook.xml",
        f'{_XML}<workbook xmlns="{_MAIN}" xmlns:r="{_RELATIONS}"><bookViews><workbookView/></bookViews><sheets>'
        + "".join(
            f'<sheet name="{escape(title, {chr(34): "&quot;"})}" sheetId="{n}" r:id="rId{n}"/>'
            for n, title in zip(numbers, titles, strict=True)
        )
        + "</sheets><definedNames>"
        + "".join(
            f'<definedName name="_xlnm.Print_Titles" localSheetId="{n}">{escape(_quoted(title))}!$1:$1</definedName>'
            for n, title in enumerate(titles)
        )
        + "</definedNames></workbook>",
    )
    yield (
        "xl/_rels/workbook.xml.rels",
        f'{_XML}<Relationships xmlns="{_PACKAGE}/relationships">'
        + "".join(
            f'<Relationship Id="rId{n}" Type="{_RELATIONS}/worksheet" Target="worksheets/sheet{n}.xml"/>'
            for n in numbers
        )
        + f'<Relationship Id="rId{len(titles) + 1}" Type="{_RELATIONS}/styles" Target="styles.xml"/></Relationships>',
    )
    yield (
        "_rels/.rels",
        f'{_XML}<Relationships xmlns="{_PACKAGE}/relationships">'
        f'<Relationship Id="rId1" Type="{document}" Target="xl/workbook.xml"/></Relationships>',
    )
    yield (
        "[Content_Types].xml",
        f'{_XML}<Types xmlns="{_PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Default Extension="xml" ContentType="application/xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_KINDS}.sheet.main+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_KINDS}.styles+xml"/>'
        + "".join(
            f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="{_KINDS}.worksheet+xml"/>' for n in numbers
        )
        + "</Types>",
    )


def _title(name: str, taken: Sequence[str]) -> str:
    """A title a workbook accepts, not used before."""
    base = _NOT_IN_TITLES.sub(" ", clean(name)).strip(" '") or "Sheet"
    title, number, used = base[:_LONGEST_TITLE], 1, {one.casefold() for one in taken}
    while title.casefold() in used:
        number += 1
        end = f" ({number})"
        title = base[: _LONGEST_TITLE - len(end)] + end
    return title
