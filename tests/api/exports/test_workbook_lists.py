"""Lists in a workbook: real numbers and dates, frozen headings, no text as a formula; read back by other readers."""

import io
import zipfile
from datetime import date, datetime
from zoneinfo import ZoneInfo

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.exports.values import Calculated
from api.exports.workbook import Laid, workbook_bytes
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
    assert (cells[5].number_format, cells[6].number_format) == ("ddd d mmm yyyy", "ddd d mmm yyyy hh:mm")


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


SHEET = {
    "Runs": Laid(
        ("Run", "Shots", "Each", "Worth", "So far"),
        [
            ("a", 3, 2.5, Calculated("[Shots]*[Each]", 7.5), Calculated("SUM([Worth]^^)", 7.5)),
            ("b", 4, 0.25, Calculated("[Shots]*[Each]", 1.0), Calculated("SUM([Worth]^^)", 8.5)),
        ],
        ("", "count", "amount", "amount", "amount"),
        (False, True, False, True, False),
    )
}


def test_sums_and_products_are_formulas_with_their_values() -> None:
    """Written by ECMA-376, 18.17, each with what it comes to, for programs that do not count."""
    data = workbook_bytes(SHEET)
    formulas, values = opened(data)["Runs"], openpyxl.load_workbook(io.BytesIO(data), data_only=True)["Runs"]
    assert [cell.value for cell in formulas[2]] == ["a", 3, 2.5, "=B2*C2", "=SUM(D$2:D2)"]
    assert [cell.value for cell in formulas[3]] == ["b", 4, 0.25, "=B3*C3", "=SUM(D$2:D3)"]
    assert [cell.value for cell in formulas[4]] == ["Total", "=SUBTOTAL(9,B2:B3)", None, "=SUBTOTAL(9,D2:D3)", None]
    assert [cell.value for cell in values[4]] == ["Total", 7, None, 8.5, None]
    assert formulas["B2"].number_format == "#,##0"
    assert formulas["D3"].number_format == "#,##0.00"
    assert formulas["D4"].font.bold
    assert [formulas.column_dimensions[letter].width for letter in "AB"] == [12, 12]
    assert formulas.auto_filter.ref == "A1:E3"


def test_a_column_is_as_wide_as_what_it_holds() -> None:
    """A day, a moment and a sum that do not fit would be shown as ####, a name would be cut."""
    at = datetime(2027, 12, 29, 23, 59)
    row = ["Underside lid, second edition", at, at.date(), 1_234_567_890.5]
    sheet = opened(workbook_bytes({"a": Laid(("n", "at", "day", "sum"), [row], ("", "", "", "amount"))}))["a"]
    wide = [sheet.column_dimensions[letter].width for letter in "ABCD"]
    written = [row[0], f"{at:%a %d %b %Y %H:%M}", f"{at:%a %d %b %Y}", f"{row[3]:,.2f}"]
    assert all(one > len(text) for one, text in zip(wide, written, strict=True))


def test_a_sheet_prints_as_wide_as_its_paper() -> None:
    """With its headings on every page (ECMA-376, 18.3.1.63 and 18.2.5), whatever its title."""
    sheet = opened(workbook_bytes({"Anna's list": Laid(("a", "b"), [[1, 2]])}))["Anna's list"]
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert (sheet.page_setup.orientation, sheet.page_setup.fitToHeight) == ("landscape", 0)
    assert sheet.print_title_rows == "$1:$1"


def test_a_figures_column_is_wide_enough_for_it() -> None:
    """Eighteen characters; others twelve, or as many as the heading takes."""
    forms = ("figure", "", "amount")
    sheet = opened(workbook_bytes({"Costs": Laid(("Cost", "Of", "Amount in pounds"), [(1.0, "a", 2.0)], forms)}))
    widths = [sheet["Costs"].column_dimensions[letter].width for letter in "ABC"]
    assert widths == [18, 12, len("Amount in pounds") + 3]


def test_long_texts_are_wrapped_and_never_run() -> None:
    sheet = opened(workbook_bytes({"Cautions": Laid(("Mind",), [["mind the gap " * 20], ["=1+1"]], ("long",))}))[
        "Cautions"
    ]
    assert sheet["A2"].alignment.wrap_text
    assert sheet.column_dimensions["A"].width == 60
    assert (sheet["A3"].value, sheet["A3"].data_type, sheet["A3"].quotePrefix) == ("=1+1", "s", True)


def test_a_list_that_goes_on_in_another_sheet_is_not_added_up_in_half() -> None:
    rows = [["x", n] for n in range(25)]
    book = opened(workbook_bytes({"Orders": Laid(("a", "n"), rows, ("", "count"), (False, True))}, most_rows=10))
    assert len(book.sheetnames) == 3
    assert [cell.value for sheet in book for cell in sheet["B"] if cell.row > 1] == list(range(25))
    fits = opened(workbook_bytes({"Orders": Laid(("a", "n"), rows[:9], ("", "count"), (False, True))}, most_rows=10))
    assert fits["Orders"].max_row == 10  # no room for a sum: none


def test_a_text_wider_than_its_column_is_wrapped_so_that_its_end_is_read() -> None:
    long = "Underside lid for the tall pot, second edition, left"
    sheet = opened(workbook_bytes({"Runs": Laid(("Run", "Tool"), [[long, "lid"]])}))["Runs"]
    assert sheet["A2"].alignment.wrap_text
    assert not sheet["B2"].alignment.wrap_text
