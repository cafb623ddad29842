"""Lists as CSV: read back by the standard reader they are the same; nothing runs as a formula."""

import csv
import io
from datetime import date, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.exports.csv_lists import csv_bytes
from api.exports.values import LONGEST_TEXT, calculates

# The characters named by OWASP, "CSV Injection", with examples of what has been put into cells.
DANGEROUS = ["=1+1", "+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1", " =1", '=cmd|"/c calc"!A1', "＝1+1", "＋1", "－1", "＠x"]


def back(headings: list[str], rows: list[list[object]], delimiter: str = ",") -> list[list[str]]:
    """The written bytes through Python's own CSV reader."""
    data = b"".join(csv_bytes(headings, rows, delimiter))  # type: ignore[arg-type]
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=delimiter))


def test_kinds_of_value() -> None:
    """Numbers with a point, days and moments in ISO order on their own wall clock, empty for nothing."""
    moment = datetime(2027, 1, 31, 6, 0, tzinfo=ZoneInfo("Europe/London"))
    row = ["text", 3, -2.5, 652.7040000000001, True, None, date(2027, 1, 31), moment, "a;b\nc"]
    assert back(["h"] * 9, [row], ";")[1] == [
        "text", "3", "-2.5", "652.704", "yes", "", "2027-01-31", "2027-01-31 06:00:00", "a;b\nc",
    ]  # fmt: skip


@pytest.mark.parametrize("text", DANGEROUS)
def test_formulas_are_disarmed(text: str) -> None:
    """In a cell and in a heading: an apostrophe goes first."""
    assert [cell[0] for row in back([text], [[text]]) for cell in row] == ["'", "'"]


@given(st.lists(st.lists(st.text(), min_size=2, max_size=2), max_size=5))
def test_any_text_comes_back(rows: list[list[str]]) -> None:
    """Whatever stands in it, less what XML forbids: same cells, or the same behind an apostrophe."""
    read = back(["a", "b"], rows)[1:]  # type: ignore[arg-type]
    assert len(read) == len(rows)
    for row, got in zip(rows, read, strict=True):
        for text, cell in zip(row, got, strict=True):
            assert not calculates(cell)
            shown = cell[1:] if cell.startswith("'") and not text.startswith("'") else cell
            assert len(shown) == len(text)
            assert all(a in (b, "\ufffd") for a, b in zip(shown, text, strict=True))


def test_long_lists_come_in_pieces() -> None:
    """Three thousand rows are not one piece; none is lost between two."""
    pieces = list(csv_bytes(["n"], ([n] for n in range(3000))))
    assert len(pieces) >= 4
    assert b"".join(pieces).decode("utf-8-sig").split() == ["n", *map(str, range(3000))]


def test_very_long_text_is_cut_visibly() -> None:
    """A cell holds what spreadsheet programs take, and shows that it was cut."""
    cell = back(["h"], [["x" * 40_000]])[1][0]
    assert len(cell) == LONGEST_TEXT
    assert cell.endswith("…")
