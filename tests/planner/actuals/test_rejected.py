"""A lot rejected late: the parcels that may hold it, and what is missing then, each worked out by hand."""

from datetime import datetime

from planner.actuals.entries import Actuals
from planner.actuals.rejected import Lot, may_hold, to_mould_again, written
from planner.demand.items import ordered_items, parts_of_unit, units_of
from tests.support.pot_campaign import pot_campaign

POTS = pot_campaign()
PRODUCT, WAY = next(iter(units_of(POTS.orders[0])))
(PART, COLOURS), EACH = next(iter(parts_of_unit(POTS, PRODUCT, WAY).items()))
IN_ORDER = EACH * units_of(POTS.orders[0])[PRODUCT, WAY]
SINCE = datetime(2027, 1, 18, 6)


def log(*entries):
    return Actuals.model_validate({"as_of": "2027-02-01", "entries": list(entries)}).entries


def packed(at, parcels, line=0):
    return {"what": "packed", "at": at, "line": line, "parcels": parcels}


def lot(pieces):
    return Lot(PART, COLOURS, pieces, SINCE)


def test_only_parcels_packed_since_the_lot_was_begun_may_hold_it():
    entries = log(packed("2027-01-17T10:00", 5), packed("2027-01-19T10:00", 3), packed("2027-01-20T10:00", 2))
    [one] = may_hold(lot(100), [(POTS, entries)])
    assert (one.line, one.parcels, one.last_packed) == (0, 5, datetime(2027, 1, 20, 10))
    assert one.pieces == 5 * IN_ORDER


def test_a_parcel_without_such_a_piece_is_not_named():
    """Another colourway's, and one that came back already."""
    other = next(n for n, line in enumerate(POTS.orders) if not any(
        parts_of_unit(POTS, *unit)[PART, COLOURS] for unit in units_of(line)))  # fmt: skip
    back = {"what": "came-back", "at": "2027-01-21T10:00", "line": 0, "parcels": 3}
    assert may_hold(lot(10), [(POTS, log(packed("2027-01-19T10:00", 4, other)))]) == []
    assert may_hold(lot(10), [(POTS, log(packed("2027-01-19T10:00", 3), back))]) == []


def test_parcels_packed_before_this_plan_are_found_too():
    entries = log(packed("2027-01-19T10:00", 3))
    [one] = may_hold(lot(10), [(POTS, []), (POTS, entries)])
    assert one.plan == 1
    [back, here] = written(lot(3 * IN_ORDER + 4), [one], SINCE)
    assert back.order.count == 1
    assert back.line is None
    assert (here.pieces, here.accepted) == (4, False)


def test_nothing_is_counted_twice():
    """A lot of 10 of which 3 parcels took theirs: those pieces leave with the parcels, only the rest is rejected."""
    entries = log(packed("2027-01-19T10:00", 3))
    again = may_hold(lot(10 * IN_ORDER), [(POTS, entries)])
    more = written(lot(10 * IN_ORDER), again, datetime(2027, 1, 22))
    assert [entry.what for entry in more] == ["came-back", "lot"]
    assert more[1].pieces == 7 * IN_ORDER


def test_what_is_to_be_moulded_again():
    """All of the item is in stock and not one more: every piece of the lot is missing then, packed or not. With as many
    to spare as the lot had, none is."""
    need = ordered_items(POTS)[PART, COLOURS]
    entries = log(packed("2027-01-19T10:00", 3))
    for spare, missing in ((0, 10 * IN_ORDER), (4, 10 * IN_ORDER - 4), (10 * IN_ORDER, 0)):
        part = POTS.parts[PART]
        stock = [{"colours": list(COLOURS), "count": need + spare}]
        made = part.model_validate(part.model_dump(by_alias=True, exclude_unset=True) | {"stock": stock})
        campaign = POTS.model_copy(update={"parts": POTS.parts | {PART: made}})
        more = written(lot(10 * IN_ORDER), may_hold(lot(10 * IN_ORDER), [(campaign, entries)]), datetime(2027, 1, 22))
        assert to_mould_again(campaign, entries, more, lot(10 * IN_ORDER)) == missing
