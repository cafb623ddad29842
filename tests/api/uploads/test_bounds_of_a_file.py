"""Kilobytes that would cost hours or gigabytes: refused before the work, or ended with the process that does it."""

import io
import zipfile

import openpyxl
import pytest

from api.apart.process import Ended
from api.uploads import apart
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.mapping import MappingProblem
from api.uploads.rows import Where, named
from api.uploads.suggest import preview
from api.uploads.tables import open_table
from tests.api.uploads.order_table import KNOWN, as_csv, good_rows


def test_a_megabyte_of_repeated_headings_is_refused_by_their_number() -> None:
    """Each was made unique by trying 2, 3, 4, ... anew, before the limit of columns: a day's work for 1 MB."""
    with pytest.raises(UnreadableFile, match="500000 columns are more than 500"):
        open_table(io.BytesIO(b"a," * 499_999 + b"a\n1\n"))


def test_repeated_headings_are_told_apart_and_blank_ones_at_the_end_left_out() -> None:
    assert named(["a", "A", "a (2)", "", "a", None, " "], 500) == ("a", "A (2)", "a (2) (2)", "column D", "a (3)")
    assert len(set(named(["a"] * 500, 500))) == 500


def test_a_row_of_blank_headings_is_no_table_however_long() -> None:
    with pytest.raises(UnreadableFile):
        open_table(io.BytesIO(b"," * 900_000 + b"\n"))


def test_cells_are_counted_over_all_rows() -> None:
    table = open_table(io.BytesIO(as_csv(good_rows(30)).encode()), Limits(cells=200))
    with pytest.raises(UnreadableFile, match="more than 200 cells"):
        list(table.rows())


def workbook(rows: list[list[str]], sheets: int = 1) -> bytes:
    book = openpyxl.Workbook()
    for number in range(sheets):
        sheet = book.active if number == 0 else book.create_sheet()
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_cells_of_a_workbook_are_counted_too() -> None:
    table = open_table(io.BytesIO(workbook(good_rows(30))), Limits(cells=200, columns=50))
    with pytest.raises(UnreadableFile, match="more than 200 cells"):
        list(table.rows())


def with_shared_texts(texts: int) -> bytes:
    """A workbook whose cells could share so many texts."""
    relation = '<Relationship Id="rId99" Type="http://x/sharedStrings" Target="sharedStrings.xml"/></Relationships>'
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook([["a"], ["1"]]))) as before, zipfile.ZipFile(out, "w") as after:
        for name in before.namelist():
            content = before.read(name)
            if name == "xl/_rels/workbook.xml.rels":
                content = content.replace(b"</Relationships>", relation.encode())
            after.writestr(name, content)
        after.writestr("xl/sharedStrings.xml", f"<sst>{'<si/>' * texts}</sst>")
    return out.getvalue()


def test_texts_that_cells_share_are_counted() -> None:
    """Empty ones take five bytes in the file and more in memory."""
    assert open_table(io.BytesIO(with_shared_texts(20)), Limits(cells=20)).headings == ("a",)
    with pytest.raises(UnreadableFile, match="more than 20 texts"):
        open_table(io.BytesIO(with_shared_texts(21)), Limits(cells=20))


def test_sheets_have_a_limit_together() -> None:
    """Each within its own, so that a hundred of them, walked one after the other, were a hundred times the limit."""
    book = workbook([["a"]], sheets=40)
    with zipfile.ZipFile(io.BytesIO(book)) as archive:
        largest = max(part.file_size for part in archive.infolist() if "/worksheets/" in part.filename)
    with pytest.raises(UnreadableFile, match="the workbook unpacks to over"):
        open_table(io.BytesIO(book), Limits(sheet_bytes=largest, book_bytes=20 * largest))


def test_a_quoted_record_ends_where_it_is_too_long_for_one() -> None:
    """Else each of its lines would be read again together with all before it."""
    lines = b'a,b\n"' + b'x"y\n' * 50 + b"1,2\n"
    few = [row.number for row in open_table(io.BytesIO(lines), Limits(record_chars=20)).rows() if row.fault]
    assert few[:1] == [2]


def test_a_table_is_read_in_a_process_of_its_own() -> None:
    seen = apart.read_table(as_csv(good_rows(5)).encode(), Limits(), Where(), preview, KNOWN)
    assert "Tier" in seen.columns
    assert "E-mail" in seen.personal


@pytest.mark.parametrize("by", ["time", "memory", "death"])
def test_a_reading_that_was_ended_is_a_refusal_in_words(by: str, monkeypatch: pytest.MonkeyPatch) -> None:
    def ends(*_: object) -> None:
        raise Ended(by)  # type: ignore[arg-type]

    monkeypatch.setattr(apart, "call", ends)
    with pytest.raises(UnreadableFile, match="split the file"):
        apart.read_table(b"a\n1\n", Limits(), Where(), preview, KNOWN)


def test_refusals_travel_between_processes() -> None:
    with pytest.raises(UnreadableFile, match="the file is empty: export the orders again"):
        apart.read_table(b"", Limits(), Where(), preview, KNOWN)
    problems = [("tier", "there is no column", "choose one")]
    assert MappingProblem(problems).__reduce__()[1] == (problems,)


def test_a_good_file_is_allowed_five_times_what_it_takes() -> None:
    """100,000 orders as XLSX: 4.1 MiB, 4.3 s of processor time for reading once (`benchmarks.orders_in`)."""
    assert apart.allowance(int(4.1 * 2**20)).seconds >= 5 * 4.3
