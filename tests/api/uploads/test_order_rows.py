"""One row, one line: every field's readings and refusals, choices, repeats, counts, personal data."""

import csv
import io
from dataclasses import replace
from datetime import date

import pytest

from api.uploads.book import lines_heard, lines_said
from api.uploads.compared import compared
from api.uploads.document import planned_orders
from api.uploads.known import Known, TierChoices
from api.uploads.mapping import ColumnMapping, MappingProblem, check_mapping
from api.uploads.orders import given_back, read_orders
from api.uploads.personal import personal_heading
from api.uploads.report import OrdersRead, set_aside_sheet
from api.uploads.tables import open_table
from tests.api.uploads.order_table import COLOURS, HEADINGS, KNOWN, MAPPING, as_csv, good_rows, read

PLAIN = {
    "Order": "A1",
    "Tier": "pair",
    "Colour 1": "clay",
    "Colour 2": "night",
    "Country": "DE",
    "Placed": "2027-03-01",
}


def one(mapping: ColumnMapping = MAPPING, **cells: str) -> OrdersRead:
    """A table of one row, otherwise all right."""
    by_heading = {**PLAIN, **{k.replace("_", " "): v for k, v in cells.items()}}
    return read(as_csv([[by_heading.get(h, "") for h in HEADINGS]]).encode(), mapping)


def test_a_whole_row() -> None:
    """Every field lands where it belongs."""
    line = one(Sleeves="2", Colour_1=" SAGE ").lines[0]
    assert (line.row, line.ref, line.tier, line.colourways) == (2, "A1", "pair", ("sage", "night"))
    assert (dict(line.add_ons), line.country, line.count, line.date) == ({"sleeve": 2}, "DE", 1, date(2027, 3, 1))


@pytest.mark.parametrize(
    ("cells", "field", "reason"),
    [
        ({"Tier": "pear"}, "tier", "'pear' is not a tier"),
        ({"Tier": ""}, "tier", "is empty"),
        ({"Tier": "=B7"}, "tier", "formula"),
        ({"Colour_1": "mauve"}, "colours", "not a colourway"),
        ({"Colour_2": "=A1"}, "colour 2", "formula"),
        ({"Tier": "single"}, "colours", "takes 1 choices, the row has 2"),
        ({"Tier": "set", "Colour_2": "sage"}, "colours", "tray does not come in sage"),
        ({"Sleeves": "many"}, "add-on sleeve", "not a whole number"),
        ({"Sleeves": "1,5"}, "add-on sleeve", "not a whole number"),
        ({"Sleeves": "-1"}, "add-on sleeve", "not a whole number"),
        ({"Sleeves": "9999999"}, "add-on sleeve", "more than 1,000,000"),
        ({"Country": "Atlantis"}, "country", "not a country"),
        ({"Country": ""}, "country", "is empty"),
        ({"Placed": "03/04/2027"}, "date", "day-month or month-day"),
        ({"Placed": "2027-02-29"}, "date", "no day of the calendar"),
        ({"Placed": "soon"}, "date", "not a date"),
        ({"Order": "x" * 61}, "ref", "too long"),
        ({"Country": "D\x00E"}, "country", "cannot be read"),
        ({"Tier": "pa\u202eir"}, "tier", "cannot be read"),
        ({"Tier": "p" * 40_000}, "tier", "40000 characters"),
    ],
)
def test_a_bad_cell_sets_the_row_aside_with_field_reason_remedy(cells: dict[str, str], field: str, reason: str) -> None:
    """The field that is wrong is named; the row keeps its number; nothing is taken."""
    got = one(**cells)
    assert got.lines == []
    aside = got.set_aside[0]
    assert (aside.row, aside.field) == (2, field)
    assert reason in aside.reason
    assert aside.remedy


@pytest.mark.parametrize("cell", ["", "-", "n/a", "Not answered yet", "TBD", "?"])
def test_choices_not_made_yet(cell: str) -> None:
    """They stay open, and are counted."""
    got = one(Colour_2=cell)
    assert got.lines[0].colourways == ("clay", None)
    assert got.missing_choices == 1


def test_all_colours_in_one_column() -> None:
    """One cell with a separator or line breaks; too few are open, too many are refused."""
    mapping = replace(MAPPING, colours=("Colour 1",), colour_separator="/")
    assert one(mapping, Colour_1="sage / night").lines[0].colourways == ("sage", "night")
    assert one(mapping, Colour_1="sage\nnight").lines[0].colourways == ("sage", "night")
    assert one(mapping, Colour_1="sage").lines[0].colourways == ("sage", None)
    assert one(mapping, Colour_1="-").lines[0].colourways == (None, None)
    assert "takes 2 choices" in one(mapping, Colour_1="sage/clay/night").set_aside[0].reason


def test_one_colour_for_several_units_is_asked_about() -> None:
    """It is the first unit's until the maker says that it is meant for all; never where one does not come in it."""
    mapping = replace(MAPPING, colours=("Colour 1",))
    got = one(mapping, Colour_1="sage")
    assert (got.lines[0].colourways, got.one_colour) == (("sage", None), 1)
    every = replace(mapping, one_colour="all")
    got = one(every, Colour_1="sage")
    assert (got.lines[0].colourways, got.one_colour, got.missing_choices) == (("sage", "sage"), 0, 0)
    assert one(every, Colour_1="sage", Tier="set").lines[0].colourways == ("sage", None)
    assert one(every, Colour_1="sage, night").lines[0].colourways == ("sage", "night")
    assert one(every, Colour_1="1x sage").lines[0].colourways == ("sage", None)
    assert one(every, Colour_1="-").lines[0].colourways == (None, None)
    for how, tier, asked in ((mapping, "set", 0), (mapping, "single", 0), (MAPPING, "pair", 0)):
        assert one(how, Tier=tier, Colour_1="sage", Colour_2="").one_colour == asked


def test_the_makers_wordings_and_defaults() -> None:
    """A wording means what the maker said; a missing country is the one said, never ours."""
    mapping = replace(
        MAPPING,
        wordings={"tier": {"Early pair!": "pair"}, "colour": {"Terracotta": "clay"}, "country": {"Home": "DE"}},
        country_otherwise="GB",
        date_order="dmy",
    )
    line = one(mapping, Tier="early PAIR!", Colour_1="terracotta", Country="home", Placed="3.4.2027").lines[0]
    assert (line.tier, line.colourways, line.country, line.date) == ("pair", ("clay", "night"), "DE", date(2027, 4, 3))
    assert one(mapping, Country="").lines[0].country == "GB"
    assert one(replace(mapping, date_order="mdy"), Placed="03/04/2027").lines[0].date == date(2027, 3, 4)


@pytest.mark.parametrize(("cell", "number"), [("", 0), ("0", 0), ("no", 0), ("x", 1), ("Yes", 1), ("3", 3), ("2.0", 2)])
def test_add_ons(cell: str, number: int) -> None:
    """A number, or yes or no; none leaves no entry."""
    assert dict(one(Sleeves=cell).lines[0].add_ons) == ({"sleeve": number} if number else {})


def test_repeats_are_shown_and_set_aside_or_kept() -> None:
    """A later row with the same reference is set aside by default, taken if the maker says so, shown always."""
    rows = good_rows(5)
    rows += [rows[1], [*rows[3][:3], "single", "clay", "", *rows[3][6:]]]
    got = read(as_csv(rows).encode())
    assert len(got.lines) == 5
    assert [(a.row, a.field) for a in got.set_aside] == [(7, "ref"), (8, "ref")]
    assert [(r.what, r.rows, r.kept) for r in got.repeats] == [("A0001", (3, 7), False), ("A0003", (5, 8), False)]
    kept = read(as_csv(rows).encode(), replace(MAPPING, repeats="keep"))
    assert len(kept.lines) == 7
    assert [r.kept for r in kept.repeats] == [True, True]


def test_tables_of_counts() -> None:
    """Tier, colourways, country, count: no reference needed; equal contents are shown, both counted."""
    headings = ("Reward", "Colour", "Country", "Orders")
    rows = [["single", "sage", "DE", "120"], ["single", "clay", "DE", "40"], ["single", "sage", "DE", "3"]]
    rows += [["single", "-", "GB", "17"], ["single", "clay", "GB", "0"], ["single", "clay", "GB", "1.200"]]
    mapping = ColumnMapping(tier="Reward", colours=("Colour",), country="Country", count="Orders")
    got = read(as_csv(rows, headings=headings).encode(), mapping)
    assert (got.orders, got.missing_choices) == (1380, 17)
    assert [r.rows for r in got.repeats] == [(2, 4)]
    assert [(a.row, a.field) for a in got.set_aside] == [(6, "count")]


def test_personal_columns_are_dropped_named_and_cannot_be_mapped() -> None:
    """By heading or by what stands in the cells; their words appear nowhere in the outcome."""
    rows = [[*row, f"write to q{n}@example.org", f"q{n}@example.net"] for n, row in enumerate(good_rows(30))]
    rows[4][3] = "p4@example.org"  # an address that slipped under the tier
    rows[6][0] = "p6@example.org"  # and one where the order number should be
    headings = (*HEADINGS, "Supporter remarks", "Reach")
    got = read(as_csv(rows, headings=headings).encode())
    assert got.dropped == {"E-mail": "e-mail", "Address": "address", "Supporter remarks": "name", "Reach": "e-mail"}
    assert [(aside.row, aside.field) for aside in got.set_aside] == [(6, "tier"), (8, "ref")]
    assert "@" not in repr(got)
    assert "Mill" not in repr(got)
    for column in ("E-mail", "Reach"):
        with pytest.raises(MappingProblem, match="personal data"):
            read(as_csv(rows, headings=headings).encode(), replace(MAPPING, ref=column))


@pytest.mark.parametrize(
    ("heading", "kind"),
    [
        ("Supporter's name", "name"), ("Nachname", "name"), ("Send to (name)", "name"), ("Their e-mail", "e-mail"),
        ("Funders", "name"), ("Telephone no", "telephone"), ("Social handle", "account"), ("Profile link", "account"),
        ("Account", "account"), ("Straße", "address"), ("Post code", "address"), ("House number", "address"),
        ("City", "address"), ("PLZ", "address"), ("Gift message", "free text"), ("Date of birth", "payment or person"),
        ("Reward chosen", None), ("Tier name", None), ("Supporter no", None), ("Send to country", None),
        ("Address country", None), ("Colour choice", None), ("Chosen on", None), ("Count", None), ("Our ID", None),
        ("Handle colour", None), ("Profile variant", None), ("State", None), ("Shipping state", "address"),
    ],
)  # fmt: skip
def test_which_headings_are_personal(heading: str, kind: str | None) -> None:
    """Names, addresses and the like are; what planning needs is not."""
    assert personal_heading(heading) == kind


def test_a_row_with_surplus_cells_shows_none_of_them() -> None:
    """With a delimiter too many nobody knows what stands where: no cell is kept."""
    got = read((",".join(HEADINGS) + "\nA1,x,1 Mill Lane, Flat 3,pair,clay,night,,DE,2027-03-01\n").encode())
    aside = got.set_aside[0]
    assert "10 cells under 9 headings" in aside.reason
    assert (aside.cells, aside.kept) == ({}, ())
    headings, rows = set_aside_sheet(got.columns, got.set_aside)
    row = dict(zip(headings, rows[0], strict=True))
    assert row.pop("Row in the table") == 2
    assert "10 cells under 9 headings" in str(row.pop("Why set aside"))
    assert row.pop("What to do")
    assert set(row.values()) == {""}


def test_set_aside_rows_as_a_sheet() -> None:
    """Kept: the columns that are read, why, what to do, the row's number. Given back: all columns, once."""
    got = one(Country="Atlantis")
    headings, rows = set_aside_sheet(got.columns, got.set_aside)
    row = dict(zip(headings, rows[0], strict=True))
    assert (row["Row in the table"], row["Order"], row["Country"]) == (2, "A1", "Atlantis")
    assert row["Why set aside"] == "country: 'Atlantis' is not a country we know"
    assert "E-mail" not in row
    table = open_table(io.BytesIO(as_csv([["A1", "a@example.org", "1 Mill Lane", "pear"]]).encode()))
    headings, rows = given_back(table, read_orders(table, MAPPING, KNOWN))
    assert headings[: len(HEADINGS)] == list(HEADINGS)
    assert rows[0][:4] == ["A1", "a@example.org", "1 Mill Lane", "pear"]


def test_blank_rows_are_counted_apart() -> None:
    """Empty lines and lines of delimiters are no rows."""
    got = read((as_csv(good_rows(3)) + ",,,,,,,,\r\n\r\n   \r\n").encode())
    assert (got.rows, got.blank_rows) == (3, 3)


def test_one_colour_column_is_fine_where_no_tier_has_a_choice() -> None:
    """Tables have such columns all the same; two are more than any tier takes."""
    known = Known({"single": TierChoices("single", ())}, COLOURS, frozenset())
    mapping = ColumnMapping(tier="Tier", colours=("Colour 1",), ref="Order")
    check_mapping(mapping, HEADINGS, known, {})
    with pytest.raises(MappingProblem, match="colours"):
        check_mapping(replace(mapping, colours=("Colour 1", "Colour 2")), HEADINGS, known, {})


def test_mapping_problems_are_all_told_at_once() -> None:
    """Unknown column, column used twice, unknown add-on, more colour columns than any tier takes."""
    mapping = ColumnMapping(
        tier="Teir", colours=("Colour 1", "Colour 1", "Placed"), country="Placed", add_ons={"lamp": "Sleeves"}
    )
    with pytest.raises(MappingProblem) as refused:
        read(as_csv(good_rows(2)).encode(), mapping)
    told = {where for where, _, _ in refused.value.problems}
    assert told == {"tier", "colour 2", "country", "add-on lamp", "colours"}
    with pytest.raises(ValueError, match="no such id"):
        one(replace(MAPPING, wordings={"tier": {"x": "lamp"}}))


OPENS = replace(MAPPING, opens="Opens")


def opening(said: str) -> OrdersRead:
    """A table of one row with the day from which it can be packed."""
    row = [PLAIN.get(heading, "") for heading in HEADINGS]
    table = io.StringIO()
    csv.writer(table).writerows([[*HEADINGS, "Opens"], [*row, said]])
    return read_orders(open_table(io.BytesIO(table.getvalue().encode())), OPENS, KNOWN)


def test_a_column_says_from_when_an_order_can_be_packed() -> None:
    """Into the order line, into the campaign's, into the book and back; an empty cell: at once."""
    (line,) = opening("2027-01-21").lines
    assert line.opens == date(2027, 1, 21)
    assert lines_heard(lines_said([line])) == [line]
    (planned,) = planned_orders([line], KNOWN).orders
    assert planned.opens == date(2027, 1, 21)
    (at_once,) = opening("").lines
    assert at_once.opens is None
    assert planned_orders([at_once], KNOWN).orders[0].opens is None
    books_of_before = [{key: value for key, value in said.items() if key != "opens"} for said in lines_said([at_once])]
    assert lines_heard(books_of_before) == [at_once]


def test_a_day_that_cannot_be_read_sets_the_row_aside() -> None:
    (aside,) = opening("when the address is known").set_aside
    assert (aside.field, "not a date" in aside.reason) == ("opens", True)


def test_another_day_is_another_order_to_a_later_table() -> None:
    (line,) = opening("2027-01-21").lines
    later = replace(line, opens=date(2027, 2, 1))
    (changed,) = compared([line], [later], []).changed
    assert "opens 2027-02-01 instead of opens 2027-01-21" in changed.what
