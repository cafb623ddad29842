"""Headings below a title, and files that are no table."""

import io

import pytest
from openpyxl import Workbook

from api.uploads.limits import UnreadableFile
from api.uploads.suggest import preview
from api.uploads.tables import open_table
from tests.api.uploads.order_table import KNOWN

ROWS = [["Order", "Tier", "Colour", "Country"], ["A1", "single", "clay", "DE"], ["A2", "single", "sage", "GB"]]


def opened(rows: list[list[str]], kind: str, heading_row: int | None = None) -> tuple[tuple[str, ...], int, int]:
    """Headings, their row, and how many rows are below."""
    table = open_table(file_of(rows, kind), heading_row=heading_row)
    return table.headings, table.source.heading_row, sum(1 for row in table.rows() if any(row.cells))


def file_of(rows: list[list[str]], kind: str) -> io.BytesIO:
    out = io.BytesIO()
    if kind == "xlsx":
        book = Workbook()
        for row in rows:
            book.active.append(row)
        book.save(out)
    else:
        out.write("\n".join(",".join(row) for row in rows).encode())
    return out


def book_of(*sheets: tuple[str, list[list[str]]], hidden: str = "") -> io.BytesIO:
    """A workbook with these sheets."""
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets:
        for row in [book.create_sheet(title), *rows][1:]:
            book[title].append(row)
        book[title].sheet_state = "hidden" if title == hidden else "visible"
    out = io.BytesIO()
    book.save(out)
    return out


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize(
    "above",
    [
        [],
        [["Spring orders"]],
        [["Spring orders"], ["for the packers"], []],
        [["Made:", "2027-05-03"]],
        [["", "Orders"]],
    ],
)
def test_titles_are_no_headings(kind: str, above: list[list[str]]) -> None:
    """None, one, several rows of them, with cells that read like a note."""
    assert opened(above + ROWS, kind) == (tuple(ROWS[0]), len(above) + 1, 2)


def test_the_maker_may_say_the_row() -> None:
    """Then nothing is found out."""
    assert opened([["Spring orders"], *ROWS], "csv", 3)[:2] == (("A1", "single", "clay", "DE"), 3)


def test_a_table_of_one_column_keeps_its_heading() -> None:
    """One heading over cells one by one is a table."""
    assert opened([["Tier"], ["single"], ["pair"]], "csv") == (("Tier",), 1, 2)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"%PDF-1.7 ...", "a PDF"),
        (b"<!DOCTYPE html>", "a web page"),
        (b"\x89PNG\r\n\x1a\n", "a picture"),
        (b'{"orders": []}', "a JSON document"),
        (b"", "empty"),
        (b"\n \n,,,\n", "every row of the file is blank"),
    ],
)
def test_each_other_file_gets_its_own_word(content: bytes, said: str) -> None:
    """Whatever its name says."""
    with pytest.raises(UnreadableFile, match=said):
        open_table(io.BytesIO(content))


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
@pytest.mark.parametrize(
    "rows",
    [[["Order", "Tier"]], [["Spring orders"], ["Order", "Tier"]], [["Spring orders"], [], ["Order", "Tier"], []]],
    ids=["headings", "title", "title-and-blank"],
)
def test_headings_without_an_order_get_their_own_word(rows: list[list[str]], kind: str) -> None:
    """What was exported is the frame of a table: nothing in it is wrong, and nothing can be planned from it."""
    table = open_table(file_of(rows, kind))
    with pytest.raises(UnreadableFile, match="there are headings, but no order stands below them"):
        preview(table, KNOWN)


def test_an_empty_sheet_sends_to_the_other_sheets() -> None:
    """Headings without rows first, and nothing like orders behind them: the file is not refused."""
    file = book_of(("Cover", [["Spring campaign"]]), ("Prices", [["Metal", "Price"], ["brass", "4"]]))
    seen = preview(open_table(file, sheet="Cover"), KNOWN)
    assert any("choose another sheet" in note for note in seen.source.notes)


def test_a_row_that_cannot_be_read_is_a_row() -> None:
    """Quote marks that do not pair: the row is set aside later; the table is not called empty."""
    assert preview(open_table(io.BytesIO(b'Order,Tier\nA1,"single\n')), KNOWN).sample == ()


def test_a_workbook_named_csv_is_read_as_a_workbook() -> None:
    """What a file is, not what it is called."""
    table = open_table(file_of([["Order", "Tier"], ["A1", "single"]], "xlsx"))
    assert table.source.kind == "XLSX"


PLEDGES = [["Spring orders"], [], ["Pledge no", "E-mail", "Reward", "Colour", "Country", "Status"]]
PLEDGES += [[f"A{n}", "a@example.org", "single", "clay", "DE", "paid"] for n in range(30)]
README = [["How this workbook is used"], ["Date", "Who"], ["2027-01-04", "the shop"], ["One row is one pledge."]]
PIVOT = [["Row labels", "Count of Pledge no", "Grand total"], *[[f"single {n}", "3", "3"] for n in range(12)]]
SUMMARY = [["Tier", "Country", "Orders"], *[["single", "DE", "3"]] * 9]
STOCK = [["Item", "Colour", "Quantity"], *[["saucer", "clay", "12"]] * 60]


@pytest.mark.parametrize(
    ("title", "before"),
    [
        ("Read me", README),
        ("Notes", README),
        ("Anleitung", [["So wird diese Mappe benutzt"], ["Bestellungen stehen auf dem nächsten Blatt"]]),
        ("Sheet1", README),
        ("Pivot", PIVOT),
        ("Sheet2", PIVOT),
        ("Totals", SUMMARY),
        ("Refunds", PLEDGES),
        ("Stock", STOCK[:20]),
        ("Orders", [["Spring orders"]]),
        ("Headings", [["Pledge no", "Reward", "Colour"]]),
    ],
)
def test_the_sheet_that_looks_like_orders_is_read(title: str, before: list[list[str]]) -> None:
    """Whatever comes before it; that is said, and the maker's own choice counts."""
    book = book_of((title, before), ("Export 3 May", PLEDGES))
    table = open_table(book)
    assert (table.source.sheet, table.source.heading_row) == ("Export 3 May", 3)
    assert f"sheet 'Export 3 May' looks most like orders; {title!r} comes first" in table.source.notes
    assert table.source.other_sheets == (title,)
    assert open_table(book, sheet=title).source.sheet == title


@pytest.mark.parametrize(
    "sheets",
    [
        (("Spring", PLEDGES), ("Autumn", PLEDGES)),
        (("Export", [["Supporter no", "Bundle", "Chosen", "Land"], ["1", "x", "y", "DE"]] * 40), ("Stock", STOCK)),
        (("Orders", ROWS), ("Read me", README)),
        (("Whatever", [["a", "b"], ["1", "2"]]), ("Another", [["c", "d"], ["1", "2"]])),
        (("Orders", PLEDGES), ("Old", [*PLEDGES[:2], [*PLEDGES[2], "Date", "Quantity"], *PLEDGES[3:5]])),
    ],
)
def test_the_first_sheet_stays_where_none_is_clearly_likelier(sheets: tuple[tuple[str, list[list[str]]], ...]) -> None:
    """Two of the same kind, a list of stock with many rows, words nobody knows."""
    assert open_table(book_of(*sheets)).source.sheet == sheets[0][0]


def test_a_hidden_sheet_is_not_taken_for_another() -> None:
    """What the maker does not see is read only where nothing else is there to read."""
    assert open_table(book_of(("Mine", ROWS), ("Raw", PLEDGES), hidden="Raw")).source.sheet == "Mine"
