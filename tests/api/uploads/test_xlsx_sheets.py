"""Workbooks: the same cells as another reader sees, formulas told apart, bombs and damage refused, no hidden rows."""

import io
import random
import zipfile
from datetime import date, datetime

import openpyxl
import pytest

from api.uploads.limits import Limits, UnreadableFile
from api.uploads.rows import Cell, Formula
from api.uploads.tables import open_table
from tests.api.uploads.order_table import HEADINGS, good_rows, read, refs

ROWS = good_rows(40)
CELLS: list[object] = [None, "", "text", " spaced ", "a\nb", "Ünï\u2014\U0001f331", "007", "#N/A", "x" * 3000, "<&>\"'"]
CELLS += [0, 1, -3, 2.5, 1e-9, 10**12, True, False]
CELLS += [datetime(1999, 12, 31, 23, 59, 59), datetime(2027, 2, 28), date(2030, 1, 1)]


def workbook(rows: list[list[object]], headings: tuple[str, ...] = HEADINGS, write_only: bool = False) -> bytes:
    """A workbook written by openpyxl (shared texts), or streamed by it (texts in the cells)."""
    book = openpyxl.Workbook(write_only=write_only)
    sheet = book.create_sheet("Orders") if write_only else book.active
    assert sheet is not None
    for row in [list(headings), *rows]:
        sheet.append([None if cell == "" else cell for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def repacked(data: bytes, change: dict[str, bytes] | None = None, pack: int = zipfile.ZIP_DEFLATED) -> bytes:
    """The archive with some parts replaced or added."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(out, "w", pack) as new:
        for name in old.namelist():
            if name not in (change or {}):
                new.writestr(name, old.read(name))
        for name, content in (change or {}).items():
            new.writestr(name, content)
    return out.getvalue()


def sheet_xml(data: bytes) -> bytes:
    """The first sheet's part."""
    return zipfile.ZipFile(io.BytesIO(data)).read("xl/worksheets/sheet1.xml")


@pytest.mark.parametrize("write_only", [False, True])
def test_rows_come_through(write_only: bool) -> None:
    """Shared texts and texts in the cells; numbers lose the .0 a spreadsheet adds."""
    rows = [[*row[:6], 2.0 if row[6] else "", row[7], datetime(2027, 3, 1)] for row in ROWS]
    got = read(workbook(rows, write_only=write_only))
    assert refs(got) == [row[0] for row in ROWS]
    assert {line.date for line in got.lines} == {date(2027, 3, 1)}
    assert {n for line in got.lines for n in line.add_ons.values()} == {2}


@pytest.mark.parametrize("seed", range(8))
def test_same_cells_as_another_reader(seed: int) -> None:
    """Random cells of every kind, holes and far columns: equal to what openpyxl reads, cell by cell."""
    draw = random.Random(seed)

    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["a", "b", "c", "d", "e", "f"])
    for n in range(2, 40):
        if draw.random() < 0.2:
            continue  # a row that is not there
        for column in range(1, 7):
            if draw.random() < 0.8:
                sheet.cell(n, column, draw.choice(CELLS))
    out = io.BytesIO()
    book.save(out)
    seen = openpyxl.load_workbook(io.BytesIO(out.getvalue())).worksheets[0].iter_rows(min_row=2, values_only=True)
    theirs = {(n, c): value for n, row in enumerate(seen, 2) for c, value in enumerate(row) if value is not None}
    ours: dict[tuple[int, int], Cell] = {}
    table = open_table(io.BytesIO(out.getvalue()))
    for row in table.rows():
        ours |= {(row.number, c): value for c, value in enumerate(row.cells) if value not in (None, "")}
    assert theirs == ours


def test_dates_counted_from_1904() -> None:
    """Some old workbooks count days from 1904 (ISO/IEC 29500-1, 18.2.28: date1904)."""
    book = openpyxl.Workbook()
    book.epoch = openpyxl.utils.datetime.CALENDAR_MAC_1904
    assert book.active is not None
    book.active.append(list(HEADINGS))
    book.active.append([*ROWS[0][:8], datetime(2027, 3, 1)])
    out = io.BytesIO()
    book.save(out)
    assert read(out.getvalue()).lines[0].date == date(2027, 3, 1)


def test_formula_cells_are_refused_row_by_row() -> None:
    """In a mapped cell the row is set aside; in a column that is dropped it does no harm."""
    rows = [list(row) for row in ROWS]
    rows[3][3] = '=CONCATENATE("pa","ir")'
    rows[5][2] = "=1+1"
    got = read(workbook(rows))
    assert [(a.row, a.field, a.reason) for a in got.set_aside] == [(5, "tier", "holds a formula")]
    assert len(got.lines) == 39


def test_shared_and_array_formulas_are_formulas() -> None:
    """Whatever kind of formula the cell holds, its stored value is not trusted."""
    data = workbook([["A1", "", "", "single", "clay", "", "", "DE", ""]])
    xml = sheet_xml(data)
    for formula in (b'<f t="shared" si="0"/>', b'<f t="array" ref="D2">x</f>', b"<f>x</f>"):
        cut = xml.index(b'<c r="D2"')
        end = xml.index(b"</c>", cut)
        spoilt = xml[:cut] + b'<c r="D2" t="str">' + formula + b"<v>single</v>" + xml[end:]
        table = open_table(io.BytesIO(repacked(data, {"xl/worksheets/sheet1.xml": spoilt})))
        assert isinstance(next(iter(table.rows())).cells[3], Formula)


def test_a_stated_dimension_hides_no_row() -> None:
    """The sheet claims to be one cell large; all its rows are read."""
    data = workbook([list(row) for row in ROWS])
    xml = sheet_xml(data)
    start = xml.index(b"<dimension")
    lying = xml[:start] + b'<dimension ref="A1"/>' + xml[xml.index(b"/>", start) + 2 :]
    assert len(read(repacked(data, {"xl/worksheets/sheet1.xml": lying})).lines) == 40


def test_names_with_a_prefix() -> None:
    """Some programs write a namespace prefix before every name."""
    data = workbook([list(row) for row in ROWS])
    xml = sheet_xml(data).decode()
    for name in ("worksheet", "sheetData", "row", "c", "v", "is", "t"):
        xml = (
            xml.replace(f"<{name} ", f"<x:{name} ")
            .replace(f"<{name}>", f"<x:{name}>")
            .replace(f"</{name}>", f"</x:{name}>")
        )
    xml = xml.replace("<x:worksheet xmlns=", "<x:worksheet xmlns:x=")
    keep = xml[xml.index("<x:sheetData>") : xml.index("</x:sheetData>") + len("</x:sheetData>")]
    body = xml[: xml.index(">") + 1] + keep + "</x:worksheet>"
    assert len(read(repacked(data, {"xl/worksheets/sheet1.xml": body.encode()})).lines) == 40


def test_the_sheet_read_is_told_and_can_be_chosen() -> None:
    """The first visible sheet with headings is read; others are named; a wrong choice lists them."""
    book = openpyxl.Workbook()
    book.create_sheet("Orders")
    book["Orders"].append(list(HEADINGS))
    book["Orders"].append(list(ROWS[0]))
    book.create_sheet("Old").append(["x"])
    book["Sheet"].sheet_state = "hidden"
    out = io.BytesIO()
    book.save(out)
    got = read(out.getvalue())
    assert (got.source.sheet, set(got.source.other_sheets)) == ("Orders", {"Sheet", "Old"})
    assert any("not read" in note for note in got.notes)
    assert open_table(io.BytesIO(out.getvalue()), sheet="Old").headings == ("x",)
    with pytest.raises(UnreadableFile, match="no sheet 'Other'") as refused:
        open_table(io.BytesIO(out.getvalue()), sheet="Other")
    assert "Orders" in refused.value.remedy


def test_headings_below_a_title() -> None:
    """The maker says in which row the headings are; repeats and blanks get names of their own."""
    data = workbook(
        [["My orders"], [], ["Tier", "Colour", "Colour", None, "Country"], ["single", "clay", "", "x", "DE"]]
    )
    table = open_table(io.BytesIO(data), heading_row=4)
    assert table.headings == ("Tier", "Colour", "Colour (2)", "column D", "Country")
    assert [row.number for row in table.rows()] == [5]


def laid_out(rows: list[list[str]], merged: list[str], hidden: tuple[int, ...] = ()) -> bytes:
    """A workbook whose sheet has merged cells and hidden rows."""
    book = openpyxl.load_workbook(io.BytesIO(workbook(rows)))
    for cells in merged:
        book.active.merge_cells(cells)
    for row in hidden:
        book.active.row_dimensions[row].hidden = True
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def test_a_cell_merged_over_rows_counts_for_each_of_them() -> None:
    """The file has the value in the first row alone; blank, a colour would count as not chosen yet."""
    rows = [[*row[:3], "single", "clay", "", *row[6:]] for row in good_rows(6)]
    got = read(laid_out(rows, ["D2:D4", "E3:E6", "H2:H3"]))
    plain = read(workbook([[*row[:7], rows[0][7] if n == 1 else row[7], row[8]] for n, row in enumerate(rows)]))
    assert [(one.tier, one.colourways, one.country) for one in got.lines] == [
        (one.tier, one.colourways, one.country) for one in plain.lines
    ]
    assert len(got.lines) == 6
    assert "cells merged over several rows count for each of them: 3 such cells" in got.notes


def test_a_row_merged_away_is_set_aside_and_hidden_rows_are_read_and_told() -> None:
    """A row whose cells are one is no order; who filtered rows away may think that they are gone."""
    got = read(laid_out(good_rows(6), ["A5:I5"], hidden=(3, 4)))
    assert refs(got) == ["A0000", "A0001", "A0002", "A0004", "A0005"]
    assert [aside.row for aside in got.set_aside] == [5]
    assert "hidden rows are read too: 2 of them" in got.notes


def test_repeated_headings_totals_and_day_numbers_are_set_aside() -> None:
    """Each with its reason: none becomes an order, none is lost."""
    rows: list[list[object]] = [*good_rows(4), list(HEADINGS), ["Total", "", "", "", "", "", 4]]
    rows[1][8] = 46102
    got = read(workbook(rows))
    assert len(got.lines) == 3
    assert {aside.row: aside.field for aside in got.set_aside} == {3: "date", 6: "tier", 7: "row"}


def bomb(size: int) -> bytes:
    """A sheet that packs a thousand to one."""
    return b'<worksheet><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>' + b" " * size + b"</t></is></c></row>"


@pytest.mark.parametrize(
    ("part", "content", "reason"),
    [
        ("xl/worksheets/sheet1.xml", bomb(30_000_000), "times its size"),
        ("xl/sharedStrings.xml", b"<sst><si><t>" + b"a" * 70_000_000 + b"</t></si></sst>", "unpacks to"),
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row", "damaged"),
        ("xl/worksheets/sheet1.xml", b'<!DOCTYPE a [<!ENTITY b "b">]><worksheet>&b;</worksheet>', "entities"),
        ("xl/worksheets/sheet1.xml", b'<w><row r="2"/><row r="2"/></w>', "comes after row 2"),
        ("xl/worksheets/sheet1.xml", b'<w><row r="99999999999999999999"/></w>', "comes after"),
        ("xl/worksheets/sheet1.xml", b'<w><row r="1"><c r="!!1"><v>1</v></c></row></w>', "no cell"),
        ("xl/worksheets/sheet1.xml", b'<w><row r="1"><c r="A1" t="s"><v>999999</v></c></row></w>', "not there"),
        ("xl/workbook.xml", b"<workbook><sheets/></workbook>", "no sheet"),
        ("xl/worksheets/sheet1.xml", b"<w><sheetData/></w>", "every row of the file is blank"),
    ],
)
def test_spoiled_workbooks_are_refused_whole(part: str, content: bytes, reason: str) -> None:
    """Bombs, broken XML, entities, rows twice or out of order, cells that point nowhere: a reason and a remedy."""
    data = repacked(workbook([list(row) for row in ROWS]), {part: content})
    with pytest.raises(UnreadableFile, match=reason) as refused:
        list(open_table(io.BytesIO(data)).rows())
    assert refused.value.remedy


def test_a_lie_about_size_ends_as_damage() -> None:
    """The archive states a small size for a large part: unpacking stops there and the sum does not match."""
    data = bytearray(repacked(workbook([list(r) for r in ROWS]), {"xl/worksheets/sheet1.xml": bomb(3_000_000)}))
    size = (3_000_000 + len(bomb(0))).to_bytes(4, "little")
    assert data.count(size) == 2  # before the part and in the directory
    with pytest.raises(UnreadableFile, match="damaged"):
        list(open_table(io.BytesIO(bytes(data.replace(size, (5000).to_bytes(4, "little"))))).rows())


def test_endless_tag_is_refused() -> None:
    """An attribute of three million random characters would have to be held whole."""
    draw = random.Random(1)
    noise = bytes(draw.choices(b"abcdefghijklmnopqrstuvwxyz0123456789", k=3_000_000))
    data = repacked(workbook([["x"]]), {"xl/worksheets/sheet1.xml": b'<w><row r="' + noise + b'"/></w>'})
    with pytest.raises(UnreadableFile, match="tag of more than a million"):
        open_table(io.BytesIO(data))


def test_other_archives_and_limits() -> None:
    """A zip that is no workbook, too many parts, too many rows."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("readme.txt", "hello")
    with pytest.raises(UnreadableFile, match="not a workbook"):
        open_table(out)
    data = workbook([list(row) for row in ROWS])
    with pytest.raises(UnreadableFile, match="parts"):
        open_table(io.BytesIO(data), Limits(parts=3))
    with pytest.raises(UnreadableFile, match="more than 39 rows"):
        list(open_table(io.BytesIO(data), Limits(rows=39)).rows())


def test_far_cells_cost_nothing() -> None:
    """A cell in the last row and column of a sheet is no reason to make room for all the others."""
    book = openpyxl.Workbook()
    assert book.active is not None
    book.active.append(list(HEADINGS))
    book.active.append(list(ROWS[0]))
    book.active.cell(1_048_576, 16_384, "far away")
    out = io.BytesIO()
    book.save(out)
    got = read(out.getvalue())
    assert len(got.lines) == 1
    assert got.rows == 1


def test_an_archive_whose_list_of_parts_leads_outside_is_damaged() -> None:
    """It says that its list lies later than it does: parts would lie before the file (APPNOTE 4.3.16).
    A fault of ours, found by the 692nd of two thousand hostile files."""
    content = bytearray(workbook([list(row) for row in ROWS]))
    at = content.rfind(b"PK\5\6") + 16
    content[at : at + 4] = (int.from_bytes(content[at : at + 4], "little") + 26_201).to_bytes(4, "little")
    with pytest.raises(UnreadableFile, match="damaged"):
        list(open_table(io.BytesIO(bytes(content))).rows())
