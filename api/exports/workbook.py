"""All lists in one XLSX workbook: real dates and numbers, frozen headings, no text that runs as a formula."""

import io
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime

from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet._write_only import WriteOnlyWorksheet

from api.exports.values import Value, calculates, clean

_MOST_ROWS = 1_048_576
_LONGEST_TITLE = 31
_NOT_IN_TITLES = re.compile(r"[\[\]:*?/\\]")
_DATE, _MOMENT = "yyyy-mm-dd", "yyyy-mm-dd hh:mm"

Sheets = Mapping[str, tuple[Sequence[str], Iterable[Sequence[Value]]]]


def workbook_bytes(sheets: Sheets, most_rows: int = _MOST_ROWS) -> bytes:
    """The workbook: one sheet for each name, with headings and rows; more rows than a sheet holds go on in a next one.

    Moments keep the wall clock they carry (a workbook knows no time zones). Raises ValueError without any sheet.
    """
    if not sheets:
        raise ValueError("a workbook needs at least one sheet")
    book = Workbook(write_only=True)
    titles: set[str] = set()
    for name, (headings, rows) in sheets.items():
        sheet = _begin(book, _title(name, titles), headings)
        written = 1
        for row in rows:
            if written == most_rows:
                sheet, written = _begin(book, _title(name, titles), headings), 1
            sheet.append([_cell(sheet, value) for value in row])
            written += 1
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _begin(book: Workbook, title: str, headings: Sequence[str]) -> WriteOnlyWorksheet:
    sheet = book.create_sheet(title)
    sheet.freeze_panes = "A2"
    for place, heading in enumerate(headings, start=1):
        sheet.column_dimensions[get_column_letter(place)].width = min(60, max(11, len(heading) + 3))
    cells = []
    for heading in headings:
        cell = _cell(sheet, heading)
        cell.font = Font(bold=True)
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        cells.append(cell)
    sheet.append(cells)
    if headings:
        sheet.auto_filter.ref = f"A1:{get_column_letter(len(headings))}1"
    return sheet


def _cell(sheet: WriteOnlyWorksheet, value: Value) -> WriteOnlyCell:
    if isinstance(value, float) and not math.isfinite(value):
        value = str(value)
    if isinstance(value, str):
        text = clean(value)
        cell = WriteOnlyCell(sheet, value=text)
        cell.data_type = "s"  # openpyxl would make a formula of a text that begins with =
        if calculates(text):
            cell.quotePrefix = True  # stays text when somebody edits the cell
        return cell
    if isinstance(value, datetime):
        cell = WriteOnlyCell(sheet, value=value.replace(tzinfo=None))
        cell.number_format = _MOMENT
        return cell
    cell = WriteOnlyCell(sheet, value=value)
    if isinstance(value, date):
        cell.number_format = _DATE
    return cell


def _title(name: str, taken: set[str]) -> str:
    """A title a workbook accepts, not used before."""
    base = _NOT_IN_TITLES.sub(" ", clean(name)).strip(" '") or "Sheet"
    title, number = base[:_LONGEST_TITLE], 1
    while title.casefold() in taken:
        number += 1
        end = f" ({number})"
        title = base[: _LONGEST_TITLE - len(end)] + end
    taken.add(title.casefold())
    return title
