"""Lists in a workbook: real numbers and dates, frozen headings, no formulas; read back by other readers."""

import io
import zipfile
from datetime import date, datetime
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.exports.workbook import workbook_bytes
from api.uploads.rows import Formula
from api.uploads.tables import open_table

DANGEROUS = ["=1+1", "+1", "-2+3", "@SUM(A1)", "\t=1", '=cmd|"/c calc"!A1', '=HYPERLINK("x")', "＝1+1"]


def opened(data: bytes) -> openpyxl.Workbook:
    """The workbook in full, formulas as formulas."""
    return openpyxl.load_workbook(io.BytesIO(data))


def test_kinds_of_value_are_real() -> None:
    """A number is a number, a day is a day, a moment keeps its wall clock; each with a format."""
    moment = datetime(2027, 3, 28, 6, 30, tzinfo=ZoneInfo("Europe/London"))
    row = ["text", 3, -2.5, True, None, date(2027, 1, 31), moment, float("inf")]
    sheet = opened(workbook_bytes({"Runs": (["h"] * 8, [row])}))["Runs"]
    cells = sheet[2]
    assert [c.value for c in cells] == [
        "text", 3, -2.5, True, None, datetime(2027, 1, 31), datetime(2027, 3, 28, 6, 30), "inf",
    ]  # fmt: skip
    assert [c.data_type for c in cells] == ["s", "n", "n", "b", "n", "d", "d", "s"]
    assert (cells[5].number_format, cells[6].number_format) == ("yyyy-mm-dd", "yyyy-mm-dd hh:mm")


def test_headings_are_frozen_and_bold() -> None:
    """The first row stays in sight in every sheet, and can be filtered."""
    book = opened(workbook_bytes({"Runs": (["Press", "Tool"], [["p", "t"]]), "Buy": (["Resin"], [])}))
    assert book.sheetnames == ["Runs", "Buy"]
    for sheet in book:
        assert sheet.freeze_panes == "A2"
        assert sheet["A1"].font.bold
        assert sheet.auto_filter.ref


@pytest.mark.parametrize("text", DANGEROUS)
def test_no_text_runs_as_a_formula(text: str) -> None:
    """As cell and as heading: stored as text, marked to stay text; no formula element in the file."""
    data = workbook_bytes({"Runs": ([text], [[text]])})
    sheet = opened(data)["Runs"]
    for cell in (sheet["A1"], sheet["A2"]):
        assert (cell.value, cell.data_type) == (text, "s")
        assert cell.quotePrefix
    xml = zipfile.ZipFile(io.BytesIO(data)).read("xl/worksheets/sheet1.xml")
    assert b"<f>" not in xml
    row = next(iter(open_table(io.BytesIO(data)).rows()))
    assert not isinstance(row.cells[0], Formula)


TEXTS = st.lists(st.text(min_size=1), min_size=1, max_size=4)
NUMBERS = st.lists(st.floats(-1e300, 1e300) | st.integers(-(10**12), 10**12), max_size=4)


@settings(max_examples=40, deadline=None)
@given(TEXTS, NUMBERS)
def test_any_text_and_number_comes_back(texts: list[str], numbers: list[float]) -> None:
    """Whatever stands in a list can be written and read again."""
    data = workbook_bytes({"any": (["t"] * len(texts), [texts, numbers])})
    rows = list(opened(data)["any"].iter_rows(min_row=2, values_only=True))
    assert len(rows) == (2 if numbers else 1)  # a row of no cells is not stored
    assert all(isinstance(got, str) for got in rows[0][: len(texts)])
    for number, got in zip(numbers, rows[-1], strict=False):
        assert got == pytest.approx(number, nan_ok=True) or got == str(number)


def test_titles_are_made_fit() -> None:
    """Forbidden characters, over-long and equal names."""
    long = "Dispatches of the last week of the year"
    names = {"Runs: [all]/?": (["a"], []), "runs  all": (["a"], []), long: (["a"], []), long + " too": (["a"], [])}
    titles = opened(workbook_bytes(names)).sheetnames
    assert len({title.casefold() for title in titles}) == 4
    assert all(len(title) <= 31 and not set(title) & set("[]:*?/\\") for title in titles)


def test_more_rows_than_a_sheet_holds_go_on_in_the_next() -> None:
    """Every row once, headings on each sheet."""
    book = opened(workbook_bytes({"Orders": (["n"], ([n] for n in range(25)))}, most_rows=10))
    assert book.sheetnames == ["Orders", "Orders (2)", "Orders (3)"]
    columns = [[cell.value for cell in sheet["A"]] for sheet in book]
    assert [column[0] for column in columns] == ["n"] * 3
    assert [n for column in columns for n in column[1:]] == list(range(25))


def test_without_sheets() -> None:
    """A workbook without a sheet cannot be opened by anybody, so none is made."""
    with pytest.raises(ValueError, match="at least one sheet"):
        workbook_bytes({})
