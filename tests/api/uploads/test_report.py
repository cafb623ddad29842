"""What came of an upload: reasons and words nobody knows, each counted, the most frequent first."""

from types import SimpleNamespace

from api.uploads.report import WHY, OrdersRead, SetAside, set_aside_sheet


def aside(row: int, field: str, reason: str, wording: str = "", near: str | None = None, **more) -> SetAside:
    return SetAside(row, row + 1, field, reason, "look", {}, wording, near, **more)


def test_reasons_are_counted_most_frequent_first():
    """One is one; as many are in the order of their fields."""
    rows = [aside(1, "tier", "b"), aside(2, "count", "a"), aside(3, "ref", "c"), aside(4, "ref", "c")]
    read = OrdersRead(None, set_aside=rows)
    assert list(read.reasons().items()) == [(("ref", "c"), 2), (("count", "a"), 1), (("tier", "b"), 1)]
    assert OrdersRead(None).reasons() == {}


def test_words_nobody_knows_are_counted_over_columns_alike():
    """Colours of several columns together, add-ons too; rows without such words are not among them."""
    rows = [
        aside(1, "colour of lid", "x", "grene", "green"), aside(2, "colour", "x", "grene", "green"),
        aside(3, "add-on 2", "x", "bagg", None), aside(4, "tier", "y"), aside(5, "colour", "x", "rde", "red"),
        aside(6, "colour of pot", "x", "grene", "green"), aside(7, "add-on", "x", "bagg", None),
    ]  # fmt: skip
    assert OrdersRead(None, set_aside=rows).unknown_wordings() == [
        ("colour", "grene", "green", 3), ("add_on", "bagg", None, 2), ("colour", "rde", "red", 1),
    ]  # fmt: skip


def test_orders_are_those_of_the_lines_taken():
    assert OrdersRead(None, lines=[SimpleNamespace(count=3), SimpleNamespace(count=1)]).orders == 4
    assert OrdersRead(None).orders == 0


def test_rows_set_aside_are_given_back_with_why_behind_their_own_cells():
    """A heading that the table has already is told apart; a row whose cells nobody knows keeps its width."""
    columns, rows = set_aside_sheet(
        ["Ref", "what to do"], [aside(7, "tier", "none such", kept=("A1", "x")), aside(9, "row", "too long")]
    )
    assert columns == ["Ref", "what to do", WHY[0], f"{WHY[1]} (said here)", WHY[2]]
    assert rows == [["A1", "x", "tier: none such", "look", 7], ["", "", "row: too long", "look", 9]]
