"""Suggestions from headings and cells: proposed with a reason, never applied."""

import io

from api.uploads.suggest import Preview, preview
from api.uploads.tables import open_table
from tests.api.uploads.order_table import HEADINGS, KNOWN, as_csv, good_rows


def look(text: str) -> Preview:
    """Preview of a CSV text."""
    return preview(open_table(io.BytesIO(text.encode())), KNOWN)


def by_field(seen: Preview) -> dict[str, list[str]]:
    """Suggested columns by field."""
    found: dict[str, list[str]] = {}
    for suggestion in seen.suggestions:
        found.setdefault(suggestion.field, []).append(suggestion.column)
    return found


def test_our_own_table() -> None:
    """Every needed column is proposed for its field, colours in order, with strength and reason."""
    seen = look(as_csv(good_rows(50)))
    assert by_field(seen) == {
        "ref": ["Order"], "tier": ["Tier"], "colour": ["Colour 1", "Colour 2"], "country": ["Country"],
        "date": ["Placed"], "add-on sleeve": ["Sleeves"],
    }  # fmt: skip
    assert all(0 < s.strength <= 1 and s.why for s in seen.suggestions)


def test_headings_that_say_nothing() -> None:
    """By their cells alone tier, colours, country and date are found; a reference is not guessed."""
    headings = tuple(f"c{n}" for n in range(len(HEADINGS)))
    found = by_field(look(as_csv(good_rows(50), headings=headings)))
    assert found["tier"] == ["c3"]
    assert found["colour"] == ["c4", "c5"]
    assert found["country"] == ["c7"]
    assert found["date"] == ["c8"]
    assert "ref" not in found


def test_other_languages_and_counts() -> None:
    """German headings of a table of counts."""
    text = "Paket;Farbe;Land;Anzahl\nsingle;sage;Deutschland;12\npair;clay,night;Frankreich;40\n"
    assert by_field(look(text)) == {"tier": ["Paket"], "colour": ["Farbe"], "country": ["Land"], "count": ["Anzahl"]}


def test_any_way_of_saying_when_it_was_ordered() -> None:
    """A heading that says something was done on a day is a date's, whatever was done."""
    rows = "".join(f"N{n},single,sage,DE,2027-03-0{n}\n" for n in range(1, 9))
    for heading in ("Chosen on", "Promised at", "Supported on", "Ordered", "Date"):
        assert by_field(look(f"Supporter no,Tier,Colour,Send to country,{heading}\n{rows}")) == {
            "ref": ["Supporter no"], "tier": ["Tier"], "colour": ["Colour"], "country": ["Send to country"],
            "date": [heading],
        }  # fmt: skip


def test_a_day_from_which_orders_can_be_packed() -> None:
    """Its heading says so; a day alone is when it was ordered. Either column may settle the order of days."""
    rows = "".join(f"N{n},single,sage,DE,0{n}/03/2027,2{n}/04/2027\n" for n in range(1, 9))
    seen = look(f"Supporter no,Tier,Colour,Send to country,Ordered,Opens\n{rows}")
    assert (by_field(seen)["date"], by_field(seen)["opens"]) == (["Ordered"], ["Opens"])
    assert seen.date_order == "dmy"


def test_personal_columns_are_not_shown() -> None:
    """They are named with their kind; neither the sample nor a suggestion touches them."""
    seen = look(as_csv(good_rows(50)))
    assert seen.personal == {"E-mail": "e-mail", "Address": "address"}
    assert "Address" not in seen.columns
    assert "Mill" not in repr(seen)
    assert "@" not in repr(seen)
    assert len(seen.sample) == 5
    assert len(seen.sample[0]) == len(HEADINGS) - 2


def test_date_order_is_told_only_where_one_is_left() -> None:
    """A 25th month does not exist: day first. Days up to 12 leave both orders open."""
    sure = [[*row[:8], "25/3/2027"] for row in good_rows(5)]
    assert look(as_csv(sure)).date_order == "dmy"
    open_ = [[*row[:8], "5/3/2027"] for row in good_rows(5)]
    assert look(as_csv(open_)).date_order is None
