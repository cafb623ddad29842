"""CSV in every delimiter and encoding an export may use; stray quotes never take neighbours with them."""

import io

import pytest

from api.uploads.encodings import find_encoding
from api.uploads.limits import Limits, UnreadableFile
from api.uploads.tables import open_table
from tests.api.uploads.order_table import HEADINGS, as_csv, good_rows, read, refs

ROWS = good_rows(60)
ENCODINGS = ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1")


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|", "^", "~", "\x1f"])
@pytest.mark.parametrize("encoding", ENCODINGS)
def test_same_lines_whatever_the_delimiter_and_encoding(encoding: str, delimiter: str) -> None:
    """All rows come through alike; the report says how the file was read, in words where it had to be guessed."""
    got = read(as_csv(ROWS, delimiter).encode(encoding))
    assert refs(got) == [row[0] for row in ROWS]
    assert got.set_aside == []
    assert {line.country for line in got.lines} == {"DE", "GB", "AT", "CI", "US"}
    assert got.source.delimiter == delimiter
    assert got.source.encoding.lower().startswith(encoding[:6])
    guessed = encoding not in ("utf-8", "utf-8-sig", "utf-16")
    assert any(note.startswith("encoding:") for note in got.notes) == guessed


@pytest.mark.parametrize("newline", ["\r\n", "\n", "\r"])
def test_line_ends_of_every_kind(newline: str) -> None:
    """CR LF, LF, and CR alone as very old files have it."""
    assert refs(read(as_csv(ROWS, newline=newline).encode())) == [row[0] for row in ROWS]


def test_a_sep_line_is_not_a_row() -> None:
    """Some programs write `sep=;` first: it names the delimiter; row numbers still count it."""
    got = read(("sep=;\n" + as_csv(ROWS, ";")).encode())
    assert got.rows == len(ROWS)
    assert got.source.heading_row == 2
    assert got.lines[0].row == 3


def test_code_page_1252_is_told_from_latin_1() -> None:
    """A typographic apostrophe (byte 92 hex) is not Latin-1."""
    rows = [[*ROWS[0][:7], "Côte d’Ivoire", "2027-03-01"]]
    got = read(as_csv(rows).encode("cp1252"))
    assert [line.country for line in got.lines] == ["CI"]
    assert got.source.encoding == "cp1252"


def test_one_row_in_another_encoding_is_set_aside_alone() -> None:
    """A UTF-8 file with one Latin-1 row: only that row, and only because a mapped cell needs it."""
    text = as_csv(good_rows(40, seed=3))
    lines = text.encode().split(b"\r\n")
    spoilt = b"B1,x@example.org,Stra\xdfe 1,single,clay,,,Deutschland,2027-03-01"
    needs = b"B2,x@example.org,Street 1,single,clay,,,\xd6sterreich,2027-03-01"
    got = read(b"\r\n".join([*lines[:5], spoilt, needs, *lines[5:]]))
    assert "B1" in refs(got)  # the address is dropped anyway
    assert [aside.field for aside in got.set_aside] == ["country"]
    assert len(got.lines) == 41


def test_rows_and_lines_are_counted_as_a_spreadsheet_and_as_an_editor_do() -> None:
    """A cell with a line break moves line numbers on, not row numbers."""
    rows = [
        ["A1", "", "two\nlines", "single", "clay", "", "", "DE", ""],
        ["A2", "", "", "sinle", "clay", "", "", "DE", ""],
    ]
    got = read(as_csv(rows).encode())
    aside = got.set_aside[0]
    assert (aside.row, aside.line) == (3, 4)
    assert (aside.field, aside.remedy.split("?")[0]) == ("tier", "did you mean single")


HEAD = ",".join(HEADINGS)
ONE = "A1,,,single,clay,,,DE,2027-03-01"
TWO = "A2,,,pair,clay,night,,DE,2027-03-01"
THREE = 'A3,,"5 High St, Town",single,night,,,DE,2027-03-01'


@pytest.mark.parametrize(
    ("bad", "aside"),
    [
        ('B1,,"5 Mill Lane,single,clay,,,DE,2027-03-01', 1),  # never closed
        ('B1,,"5" Mill Lane,single,clay,,,DE,2027-03-01', 1),  # text after the closing mark
        ('"B1,,x,single,clay,,,DE,2027-03-01', 1),
        ('B1,,x,single,clay,,,DE,"2027-03-01', 1),
        ('B1,,x,"single,clay,,,DE,2027-03-01\nB2,,x,single",clay,,,DE,2027-03-01', 1),  # two that make one record
        ('B1,,"x\ny,single,clay,,,DE,2027-03-01', 2),  # its second line is a row of its own, and a bad one
    ],
)
def test_a_stray_quote_spoils_its_own_row_only(bad: str, aside: int) -> None:
    """Whatever stands in the bad row, its neighbours on both sides are taken."""
    got = read("\n".join([HEAD, ONE, TWO, bad, THREE, ONE.replace("A1", "A4"), ""]).encode())
    assert refs(got) == ["A1", "A2", "A3", "A4"]
    assert len(got.set_aside) == aside


def test_swallowed_rows_with_the_right_number_of_cells_come_back() -> None:
    """Two stray marks make one record of the right width out of three rows: only the first is spoilt."""
    rows = ['B1,,"x,single,clay,,,DE,2027-03-01', ONE, 'B2,,x",single,clay,,,DE,2027-03-01']
    got = read("\n".join([HEAD, *rows, TWO, ""]).encode())
    assert refs(got) == ["A1", "B2", "A2"]
    assert [aside.line for aside in got.set_aside] == [2]


def test_inch_marks_are_no_quotes() -> None:
    """A mark within a bare cell is a character like any other."""
    got = read("\n".join([HEAD, 'A1,,5" pipe works,single,clay,,,DE,2027-03-01', TWO, ""]).encode())
    assert refs(got) == ["A1", "A2"]


def test_last_line_cut_short_is_noticed() -> None:
    """Without its line end a whole row is taken with a note; a row that ends early is set aside."""
    text = "\n".join([HEAD, ONE, TWO])
    got = read(text.encode())
    assert refs(got) == ["A1", "A2"]
    assert any("row 3 is whole" in note for note in got.notes)
    got = read(text[:-12].encode())
    assert refs(got) == ["A1"]
    assert "cut short" in got.set_aside[0].remedy


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "empty"),
        (b"\n\n  \n", "every row of the file is blank"),
        (b"\xff\xfe\x00\x00" + b"A\x00\x00\x00", "UTF-32"),
        (bytes(range(256)) * 20, "not a text table"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), r"old \.xls"),
        (b"PK\x03\x04 not really", "cut short or damaged"),
        (b'"never closed,heading\n1,2\n', "cannot be read"),
    ],
)
def test_files_that_are_refused_whole(data: bytes, reason: str) -> None:
    """Each with its reason and a remedy."""
    with pytest.raises(UnreadableFile, match=reason) as refused:
        open_table(io.BytesIO(data))
    assert refused.value.remedy


def test_limits_of_size() -> None:
    """Bytes, rows and columns beyond the limits are refused; rows just at the limit are not."""
    text = as_csv(good_rows(12)).encode()
    with pytest.raises(UnreadableFile, match="bytes are more"):
        open_table(io.BytesIO(text), Limits(file_bytes=100))
    with pytest.raises(UnreadableFile, match="columns"):
        open_table(io.BytesIO(text), Limits(columns=3))
    assert len(list(open_table(io.BytesIO(text), Limits(rows=12)).rows())) == 12
    with pytest.raises(UnreadableFile, match="more than 11 rows"):
        list(open_table(io.BytesIO(text), Limits(rows=11)).rows())


def test_endless_line_in_bounded_memory() -> None:
    """A line of five million characters is set aside without being held, and the next row is taken."""
    got = read((HEAD + "\n" + "x" * 5_000_000 + "\n" + ONE + "\n").encode())
    assert refs(got) == ["A1"]
    assert "longer than" in got.set_aside[0].reason


@pytest.mark.parametrize("shift", range(4))
def test_characters_on_the_edge_of_a_piece_are_whole(shift: int) -> None:
    """The file is looked at in pieces; a character of four bytes cut by one is still one character."""
    text = HEAD + "\n" + "x" * shift + "\U0001f331" * 100_000 + "\n" + ONE + "\n"
    found = find_encoding(io.BytesIO(text.encode()))
    assert (found.codec, found.why) == ("utf-8", "")
