"""Open an uploaded table by what it is, not by what it is called."""

from typing import BinaryIO

from api.uploads.csv_table import CsvTable
from api.uploads.headings import below_titles
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.rows import Table

_OTHERS = (
    (b"%pdf", "a PDF", "export the orders as CSV or XLSX; a PDF is a picture of them"),
    (b"<!doctyp", "a web page", "export the orders as CSV or XLSX; a page saved from the browser is none"),
    (b"<html", "a web page", "export the orders as CSV or XLSX; a page saved from the browser is none"),
    (b"\x89png", "a picture", "export the orders as CSV or XLSX"),
    (b"\xff\xd8\xff", "a picture", "export the orders as CSV or XLSX"),
    (b'{"', "a JSON document", "export the orders as CSV or XLSX"),
    (b"[{", "a JSON document", "export the orders as CSV or XLSX"),
    (b"{\\rtf", "a text document", "export the orders as CSV or XLSX"),
)
_OLD_OFFICE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def open_table(
    file: BinaryIO,
    limits: Limits | None = None,
    *,
    sheet: str | None = None,
    encoding: str | None = None,
    delimiter: str | None = None,
    heading_row: int | None = None,
) -> Table:
    """A table from a seekable binary file; options the maker may set, else found out and told in `source`.

    Raises UnreadableFile where the file as a whole cannot be read.
    """
    limits = limits or Limits()
    size = file.seek(0, 2)
    file.seek(0)
    if size == 0:
        raise UnreadableFile("the file is empty", "export the orders again")
    if size > limits.file_bytes:
        raise UnreadableFile(f"{size:,} bytes are more than {limits.file_bytes:,}", "split the file")
    start = file.read(8)
    file.seek(0)
    if start == _OLD_OFFICE:
        raise UnreadableFile(
            "this is an old .xls file or a workbook locked with a password", "save it as .xlsx without a password"
        )
    for begins, is_a, remedy in _OTHERS:
        if start.lower().startswith(begins):
            raise UnreadableFile(f"this is {is_a}, whatever its name says", remedy)

    def opened(row: int | None) -> Table:
        if start.startswith(b"PK"):
            from api.uploads.xlsx_table import XlsxTable  # here: whoever opens none, as the API itself, loads it not

            return XlsxTable(file, limits, sheet, row)
        return CsvTable(file, limits, encoding, delimiter, row)

    return opened(heading_row) if heading_row is not None else below_titles(opened(None), opened)
