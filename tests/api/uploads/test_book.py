"""The order book as it is kept, and rows set aside that are read again."""

from datetime import date

from api.uploads.book import (
    KeptTable,
    added,
    aside_heard,
    aside_said,
    is_unseen,
    lines_heard,
    lines_said,
    read_again,
)
from api.uploads.report import OrderLine, OrdersRead, SetAside
from api.uploads.rows import Formula
from tests.api.uploads.order_table import KNOWN, MAPPING, as_csv, read

COLUMNS = ("Order", "Tier", "Colour 1", "Country")


def line(ref: str, row: int = 1, opens: date | None = None) -> OrderLine:
    return OrderLine(row, ref, "pair", ("clay", None), {"sleeve": 2}, "DE", 1, date(2027, 3, 1), opens)


def aside(row: int, *kept: str, ref: str = "", refund_in: str = "", held_by: int | None = None) -> SetAside:
    cells = {"ref": ref} if ref else {}
    return SetAside(row, None, "tier", "unknown", "mend it", cells, "wording", "single", kept, refund_in, held_by)


def test_lines_come_back_as_they_were_kept() -> None:
    """Days as days; a book of before knew no day from which an order can be packed."""
    lines = [line("A1"), line("A2", 2, opens=date(2027, 4, 1))]
    said = lines_said(lines)
    assert (said[0]["date"], said[0]["opens"], said[1]["opens"]) == ("2027-03-01", None, "2027-04-01")
    assert lines_heard(said) == lines
    before = [{name: value for name, value in one.items() if name != "opens"} for one in said[:1]]
    assert lines_heard(before) == lines[:1]


def test_rows_set_aside_come_back_without_the_cells_that_were_shown() -> None:
    kept = aside(7, "A1", "sinle", ref="A1", refund_in="Remark", held_by=3)
    row, reason, said = aside_said(kept)
    assert (row, reason) == (7, "unknown")
    heard = aside_heard(row, reason, said)
    assert heard == SetAside(
        7, None, "tier", "unknown", "mend it", {}, "wording", "single", ("A1", "sinle"), "Remark", 3
    )
    del said["held_by"]
    assert aside_heard(row, reason, said).held_by is None


def test_kept_rows_are_a_table_again() -> None:
    """Numbered from one, as wide as the headings; what begins like a formula is one."""
    one, two = KeptTable(COLUMNS, [["A1", "=B2"], ["A2", "single", "clay", "DE"]]).rows()
    assert (one.number, two.number) == (1, 2)
    assert one.cells == ["A1", Formula("=B2"), "", ""]
    assert two.cells == ["A2", "single", "clay", "DE"]
    assert KeptTable(COLUMNS, []).refunded_elsewhere("Order") == {}


def brought(*rows: str) -> OrdersRead:
    """A further table with such rows: order number, tier, colour."""
    return read(
        as_csv([[n, "", "", tier, colour, "", "", "DE", ""] for n, tier, colour in map(str.split, rows)]).encode()
    )


def test_a_further_table_takes_the_place_of_rows_set_aside_before() -> None:
    """A7 was one row and comes as one: it is an order now. A8 comes as a row set aside anew. A9 stays."""
    before = [aside(1, "A7", "sinle"), aside(2, "A8", "x"), aside(3, "A9", "x")]
    found = added([line("A1")], before, COLUMNS, "Order", brought("a7 single clay", "A8 sinle clay", "B1 single clay"))
    assert [one.ref for one in found.lines] == ["A1", "a7", "B1"]
    assert [(one.kept[0], one.reason == "unknown") for one in found.set_aside] == [("A9", True), ("A8", False)]
    assert found.taken == 2


def test_fewer_rows_of_a_reference_than_were_set_aside_change_nothing() -> None:
    """One of the rows left out may say that there is no order any more."""
    before = [aside(1, "A7", "x"), aside(2, "A7", "y")]
    found = added([], before, COLUMNS, "Order", brought("A7 single clay"))
    assert (found.lines, found.set_aside, found.taken) == ([], before, 0)
    found = added([], before, COLUMNS, "Order", brought("A7 single clay", "A7 single night"))
    assert [one.ref for one in found.lines] == ["A7"]
    assert [one.kept[0] for one in found.set_aside] == ["A7"]  # its second row repeats the number
    assert found.set_aside[0] not in before


def test_without_a_column_of_references_all_rows_stay_aside() -> None:
    before = [aside(1, "A7", "x")]
    for ref in (None, "Number"):
        found = added([], before, COLUMNS, ref, brought("A7 single clay"))
        assert ([one.ref for one in found.lines], found.set_aside) == (["A7"], before)
    short = [aside(1)]
    assert added([], short, COLUMNS, "Order", brought("A7 single clay")).set_aside == short


def test_what_is_no_order_for_a_reason_that_is_not_kept() -> None:
    assert is_unseen(aside(1, refund_in="Remark"), COLUMNS)
    assert not is_unseen(aside(1, refund_in="Country"), COLUMNS)
    assert not is_unseen(aside(1), COLUMNS)


def row(ref: str, tier: str, colour: str) -> tuple[str, ...]:
    return (ref, "", "", tier, colour, "", "", "DE", "")


ALL = ("Order", "E-mail", "Address", "Tier", "Colour 1", "Colour 2", "Sleeves", "Country", "Placed")


def test_mended_rows_are_orders_under_their_own_numbers() -> None:
    """Row 5 is put right, row 9 is not: it keeps its number, its line and its cells as typed."""
    asides = [aside(5, *row("A5", "sinle", "clay")), aside(9, *row("A9", "sinle", "clay"))]
    found = read_again(ALL, [line("A1")], asides, {0: row("A5", "single", "clay")}, MAPPING, KNOWN)
    assert [(one.row, one.ref) for one in found.lines] == [(1, "A1"), (5, "A5")]
    assert found.taken == 1
    (left,) = found.set_aside
    assert (left.row, left.line, left.kept) == (9, None, row("A9", "sinle", "clay"))


def test_a_row_of_which_nothing_was_kept_stays_aside() -> None:
    asides = [aside(5), aside(9, *row("A9", "single", "clay"))]
    found = read_again(ALL, [], asides, {}, MAPPING, KNOWN)
    assert [one.row for one in found.lines] == [9]
    assert [(one.row, one.kept) for one in found.set_aside] == [(5, ())]


def test_what_is_no_order_and_what_it_holds_back_wait_for_the_makers_word() -> None:
    """Row 5 was refunded by a remark, row 6 of the same order is held by it; then the maker says that row 5 counts."""
    asides = [
        aside(5, *row("A5", "single", "clay"), refund_in="Remark"),
        aside(6, *row("A6", "single", "clay"), held_by=5),
        aside(7, *row("A7", "single", "clay"), held_by=4),
    ]
    found = read_again(ALL, [], asides, {}, MAPPING, KNOWN)
    assert [one.row for one in found.lines] == [7]
    assert [(one.row, one.kept[0]) for one in found.set_aside] == [(5, "A5"), (6, "A6")]
    found = read_again(ALL, [], asides, {}, MAPPING, KNOWN, all_the_same=[0])
    assert [one.row for one in found.lines] == [5, 6, 7]
    found = read_again(ALL, [], asides, {}, MAPPING, KNOWN, all_the_same=[1])
    assert [one.row for one in found.lines] == [6, 7]
