"""All lists in one XLSX workbook: real dates and numbers, frozen headings, no text that runs as a formula.

Written as it is read (ECMA-376, Office Open XML: SpreadsheetML in a ZIP), so a workbook of any length takes no memory.
"""

import io
import math
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from itertools import chain, islice
from xml.sax.saxutils import escape

from api.exports.values import Value, calculates, clean

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

_HEADING, _QUOTED_HEADING, _QUOTED, _DATE, _MOMENT = 1, 2, 3, 4, 5
"""Places in the style sheet below; 0 is anything else."""
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_KINDS = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_XML = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_STYLES = (
    f'{_XML}<styleSheet xmlns="{_MAIN}">'
    '<numFmts count="2"><numFmt numFmtId="164" formatCode="yyyy-mm-dd"/>'
    '<numFmt numFmtId="165" formatCode="yyyy-mm-dd hh:mm"/></numFmts>'
    '<fonts count="2"><font><sz val="11"/><name val="Calibri"/></font>'
    '<font><b/><sz val="11"/><name val="Calibri"/></font></fonts>'
    '<fills count="2"><fill><patternFill patternType="none"/></fill>'
    '<fill><patternFill patternType="gray125"/></fill></fills>'
    '<borders count="1"><border><left/><right/><top/><bottom/><diagonal/></border></borders>'
    '<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>'
    '<cellXfs count="6"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>'
    + "".join(
        f'<xf numFmtId="0" fontId="1" fillId="0" borderId="0" xfId="0" applyFont="1" applyAlignment="1"{quoted}>'
        '<alignment vertical="top" wrapText="1"/></xf>'
        for quoted in ("", ' quotePrefix="1"')
    )
    + '<xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0" quotePrefix="1"/>'
    + "".join(
        f'<xf numFmtId="{form}" fontId="0" fillId="0" borderId="0" xfId="0" applyNumberFormat="1"/>'
        for form in (164, 165)
    )
    + '</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>'
)

Sheets = Mapping[str, tuple[Sequence[str], Iterable[Sequence[Value]]]]


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
        for name, (headings, rows) in sheets.items():
            left = iter(rows)
            ahead = list(islice(left, 1))
            while True:
                titles.append(_title(name, titles))
                with book.open(f"xl/worksheets/sheet{len(titles)}.xml", "w", force_zip64=True) as sheet:
                    gathered = bytearray()
                    for text in _sheet(headings, chain(ahead, islice(left, most_rows - 1 - len(ahead)))):
                        gathered += text.encode()
                        if len(gathered) >= _PIECE:
                            sheet.write(gathered)
                            gathered.clear()
                            yield out.taken()
                    sheet.write(gathered)
                yield out.taken()
                if not (ahead := list(islice(left, 1))):
                    break
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


def _sheet(headings: Sequence[str], rows: Iterable[Sequence[Value]]) -> Iterator[str]:
    """The sheet's XML, row by row."""
    letters = [_letter(place) for place in range(len(headings))]
    widths = "".join(
        f'<col min="{n}" max="{n}" width="{min(60, max(11, len(heading) + 3))}" customWidth="1"/>'
        for n, heading in enumerate(headings, 1)
    )
    first = "".join(
        f'<c r="{letter}1" s="{_QUOTED_HEADING if calculates(text) else _HEADING}" t="inlineStr">{_text(text)}</c>'
        for letter, text in zip(letters, map(clean, headings), strict=True)
    )
    yield (
        f'{_XML}<worksheet xmlns="{_MAIN}"><sheetViews><sheetView workbookViewId="0">'
        '<pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews>'
        f"{f'<cols>{widths}</cols>' if widths else ''}"
        f'<sheetData><row r="1">{first}</row>'
    )
    cell = _cells()
    for number, row in enumerate(rows, 2):
        while len(letters) < len(row):
            letters.append(_letter(len(letters)))
        if cells := "".join(
            [f'<c r="{letter}{number}"{cell(value)}' for letter, value in zip(letters, row, strict=False)]
        ):
            yield f'<row r="{number}">{cells}</row>'
    last = f'<autoFilter ref="A1:{letters[len(headings) - 1]}1"/>' if headings else ""
    yield f"</sheetData>{last}</worksheet>"


def _cells() -> Callable[[Value], str]:
    """How a value is written after its cell's place."""
    known: dict[str, str] = {}

    def text_cell(value: str) -> str:
        written = known.get(value)
        if written is None:
            text = clean(value)
            quoted = f' s="{_QUOTED}"' if calculates(text) else ""  # stays text when somebody edits the cell
            written = f'{quoted} t="inlineStr">{_text(text)}</c>'
            if len(known) >= _TEXTS_KNOWN:
                known.clear()
            known[value] = written
        return written

    def cell(value: Value) -> str:
        if value is None:
            return "/>"
        if isinstance(value, str):
            return text_cell(value)
        if isinstance(value, bool):
            return f' t="b"><v>{value:d}</v></c>'
        if isinstance(value, int):
            return f"><v>{value}</v></c>"
        if isinstance(value, float):
            return f"><v>{value!r}</v></c>" if math.isfinite(value) else text_cell(str(value))
        day = value.date() if isinstance(value, datetime) else value
        if day < _FIRST_DAY:
            return text_cell(value.isoformat())
        days = (day - _DAY_NOUGHT).days
        if not isinstance(value, datetime):
            return f' s="{_DATE}"><v>{days}</v></c>'
        seconds = value.hour * 3600 + value.minute * 60 + value.second + value.microsecond / 1e6
        return f' s="{_MOMENT}"><v>{days + seconds / 86400!r}</v></c>'

    return cell


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
        + "</sheets></workbook>",
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
