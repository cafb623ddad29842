"""Headings below a title, and files that are no table."""

import io

import pytest
from openpyxl import Workbook

from api.uploads.limits import UnreadableFile
from api.uploads.tables import open_table

ROWS = [["Order", "Tier", "Colour", "Country"], ["A1", "single", "clay", "DE"], ["A2", "single", "sage", "GB"]]


def opened(rows: list[list[str]], kind: str, heading_row: int | None = None) -> tuple[tuple[str, ...], int, int]:
    """Headings, their row, and how many rows are below."""
    out = io.BytesIO()
    if kind == "xlsx":
        book = Workbook()
        for row in rows:
            book.active.append(row)
        book.save(out)
    else:
        out.write("\n".join(",".join(row) for row in rows).encode())
    table = open_table(out, heading_row=heading_row)
    return table.headings, table.source.heading_row, sum(1 for row in table.rows() if any(row.cells))


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
        (b"", "empty"),
    ],
)
def test_each_other_file_gets_its_own_word(content: bytes, said: str) -> None:
    """Whatever its name says."""
    with pytest.raises(UnreadableFile, match=said):
        open_table(io.BytesIO(content))
