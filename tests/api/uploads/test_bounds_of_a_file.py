"""Kilobytes that would cost hours or gigabytes: refused before the work, or ended with the process that does it."""

import io
import resource
import zipfile
from collections.abc import Callable
from typing import Any

import openpyxl
import pytest

from api.apart.process import Allowance, Ended, Places, call, may_take
from api.uploads import apart, known
from api.uploads.add_ons import AddOnTexts
from api.uploads.cells import Spoiled
from api.uploads.choices import ColourCells
from api.uploads.known import Names, TierChoices
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


def test_a_file_of_line_ends_is_refused_by_their_number() -> None:
    """Two megabytes of them took 3.4 s of processor time, 64 a minute."""
    with pytest.raises(UnreadableFile, match="more than 100,000 rows are blank"):
        open_table(io.BytesIO(b"\n" * 100_001))
    below = open_table(io.BytesIO(b"a,b\n1,2\n" + b",\n" * 31), Limits(blank_rows=30))
    with pytest.raises(UnreadableFile, match="more than 30 rows are blank: delete the blank rows"):
        list(below.rows())


def test_quote_marks_that_never_pair_are_not_looked_for_without_end() -> None:
    """Each row of such a file was read again with all the lines after it."""
    lines = b"a,b\n" + (b'"' + b'x""\n' * 40) * 20
    with pytest.raises(UnreadableFile, match=r"in too many rows, up to line \d+, quote marks do not pair"):
        list(open_table(io.BytesIO(lines), Limits(again_chars=5_000)).rows())
    assert (
        sum(row.fault == "" for row in open_table(io.BytesIO(b'a,b\n"1\n2",3\n'), Limits(again_chars=20)).rows()) == 1
    )


class Counting:
    """Counts how often a function is called."""

    def __init__(self, inner: Callable[..., Any]) -> None:
        self.inner, self.calls = inner, 0

    def __call__(self, *arguments: Any, **named: Any) -> Any:
        self.calls += 1
        return self.inner(*arguments, **named)


@pytest.mark.parametrize("cell", ["a " * 16_000, "2x " * 10_000, "a:b, " * 190], ids=["words", "numbers", "labels"])
def test_a_cell_of_prose_is_not_cut_in_every_way(cell: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sixty cells of 16,000 words took minutes: each way to cut them in two was looked up."""
    finds = Counting(Names.find)
    monkeypatch.setattr(Names, "find", lambda *arguments: finds(*arguments))
    offered = frozenset({"sage", "clay"})
    cells = ColourCells(Names(offered), Names(["planter"]), Names([]), "")
    with pytest.raises(Spoiled):
        cells.read([cell], TierChoices("one", (("planter", offered),)))
    with pytest.raises(Spoiled):
        AddOnTexts(KNOWN, Names(offered), {}, "").read(cell)
    assert finds.calls < 10_000


def test_a_wording_of_many_words_is_read_where_the_maker_said_what_it_means() -> None:
    said = "no thank you, I would rather not have any of the extras that you offer, " * 5
    assert AddOnTexts(KNOWN, Names([]), {said.strip(" ,"): "nothing"}, "").read(said.strip(" ,")) == {}


def test_unknown_words_are_compared_with_what_is_known_for_the_first_ones_only(monkeypatch: pytest.MonkeyPatch) -> None:
    compared = Counting(known.get_close_matches)
    monkeypatch.setattr(known, "get_close_matches", compared)
    names = Names(["planter pot", "saucer"])
    for n in range(3_000):
        names.remedy(f"planter pod {n}")
        names.nearest(f"planter pod {n}")
    assert compared.calls == 500
    assert names.nearest("planter pod 7") == "planter pot"


def test_opening_a_file_has_two_seconds_and_its_rows_earn_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """However large it is: a workbook of kilobytes could be let work for many seconds, and a good table never lacks."""
    earned: list[int] = []
    monkeypatch.setattr(apart, "may_take", earned.append)
    good = as_csv(good_rows(20_000)).encode()
    apart._read(good, Limits(), Where(), lambda table: sum(1 for _ in table.rows()), (), {})
    assert [apart.allowance(mib * 2**20).seconds for mib in (0, 3, 12, 64)] == [2, 2, 5, 18]
    # 0.8 s of processor time were measured for 20,000 rows on a busy machine, all that is done with them included.
    assert earned == sorted(earned)
    assert earned[-1] >= 2 + 3 * 0.8


def limits_of_processor_time() -> tuple[int, int]:
    may_take(5)
    first = resource.getrlimit(resource.RLIMIT_CPU)[0]
    may_take(1_000)
    return first, resource.getrlimit(resource.RLIMIT_CPU)[0]


def test_what_is_earned_never_exceeds_the_most() -> None:
    allowed = Allowance(seconds=2, longest=60.0, memory_bytes=2**30, most_seconds=40)
    assert call(Places(1, 1, 60.0), allowed, limits_of_processor_time) == (5, 40)
