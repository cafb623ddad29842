"""Which sheet of a workbook is read."""

import datetime

from api.uploads.rows import Cell
from api.uploads.sheet_choice import SheetLook, likeliest, look_at

ORDERS: list[list[Cell]] = [
    ["Order number", "E-mail", "Reward", "Country"],
    ["A1", "a@example.org", "single", "DE"],
    ["A2", "b@example.org", "pair", "AT"],
]


def test_headings_that_say_what_orders_say_are_counted_once_each() -> None:
    """A number, a person, what was bought and where to: four. Blank rows and a title above count for nothing."""
    assert look_at("Sheet1", ORDERS, False) == SheetLook("Sheet1", 4, 2)
    below = [["Our campaign"], [], ["", None], *ORDERS]
    assert look_at("Sheet1", below, False) == SheetLook("Sheet1", 4, 2)
    twice: list[list[Cell]] = [["Country", "Shipping country", "E-mail", "Phone"]]
    assert look_at("Sheet1", twice, False).alike == 2


def test_headings_far_down_are_not_found() -> None:
    """They stand in one of the first twelve rows with anything in them."""
    cover: list[list[Cell]] = [[f"line {n}"] for n in range(11)]
    assert look_at("Sheet1", [*cover, *ORDERS], False) == SheetLook("Sheet1", 4, 2)
    assert look_at("Sheet1", [["one more"], *cover, *ORDERS], False).alike < 4


def test_a_cell_that_is_no_heading_says_nothing() -> None:
    """A number, a day, a sentence of more than sixty letters."""
    sentence = "Country of the order, as it was typed by whoever ordered it, at last"
    assert len(sentence) > 60
    assert look_at("Sheet1", [[7, datetime.date(2027, 3, 1), sentence, " "]], False).alike == 0
    just = "country " + "x" * 52
    assert len(just) == 60
    assert look_at("Sheet1", [[just]], False).alike == 1
    assert look_at("Sheet1", [[just + "x"]], False).alike == 0


def test_the_title_counts_too() -> None:
    """A title of orders for one heading more, one of something else for two fewer; in German as in English."""
    assert look_at("Orders 2027", ORDERS, False).alike == 5
    assert look_at("Aufträge", ORDERS, False).alike == 5
    assert look_at("Übersicht", ORDERS, False).alike == 2
    assert look_at("Summary of orders", ORDERS, False).alike == 3
    assert look_at("Border", ORDERS, False).alike == 4


def test_an_empty_sheet_has_no_rows() -> None:
    assert look_at("Sheet1", [], False) == SheetLook("Sheet1", 0, 0)
    assert look_at("Sheet1", ORDERS[:1], True) == SheetLook("Sheet1", 4, 0, refunds=True)


def test_the_first_sheet_is_read_unless_another_is_clearly_likelier() -> None:
    """By two things more that orders say, and as many rows at least."""
    first = SheetLook("first", 2, 10)
    assert likeliest([]) is None
    assert likeliest([first]) == "first"
    assert likeliest([first, SheetLook("other", 3, 30)]) == "first"
    assert likeliest([first, SheetLook("other", 4, 10)]) == "other"
    assert likeliest([first, SheetLook("other", 4, 9)]) == "first"


def test_a_first_sheet_without_rows_gives_way_to_one_with_orders() -> None:
    """To one that says at least two things of orders."""
    cover = SheetLook("cover", 1, 0)
    assert likeliest([cover, SheetLook("other", 2, 1)]) == "other"
    assert likeliest([cover, SheetLook("other", 1, 1)]) == "cover"
    assert likeliest([cover, SheetLook("empty", 5, 0), SheetLook("other", 2, 1)]) == "other"


def test_refunds_are_read_only_where_there_is_nothing_else() -> None:
    refunds = SheetLook("refunds", 9, 40, refunds=True)
    assert likeliest([refunds, SheetLook("orders", 2, 4)]) == "orders"
    assert likeliest([refunds]) == "refunds"
