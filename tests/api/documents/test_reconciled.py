"""After parcels have left: whatever a new table says, nothing that has left is sent twice and nothing is lost."""

import random

import pytest

from api.services.reconciled import has_left, reconciled
from api.uploads.document import planned_orders
from api.uploads.mapping import MappingProblem
from api.uploads.report import OrderLine
from planner.actuals.entries import CameBack, Packed
from planner.campaign.orders import Gone
from planner.campaign.orders import OrderLine as CampaignLine
from tests.support.messy_orders import KNOWN

AT = "2027-02-01T10:00"


def row(ref: str, draw: random.Random, tier: str = "") -> OrderLine:
    """An order drawn, some choices left open."""
    tier = tier or draw.choice(list(KNOWN.tiers))
    ways = tuple(draw.choice([*sorted(offered), None]) for _, offered in KNOWN.tiers[tier].units)
    return OrderLine(1, ref, tier, ways, {}, draw.choice(("GB", "DE")), 1, None)


def planned(*rows: OrderLine) -> list[CampaignLine]:
    """The rows as a campaign's order lines."""
    return planned_orders(rows, KNOWN).orders


@pytest.mark.parametrize("seed", range(60))
def test_none_twice_none_lost(seed: int) -> None:
    """Orders that left are not among those to send; each other order of the table is, once; others are not."""
    draw = random.Random(seed)
    before = [row(f"A{n}", draw) for n in range(20)]
    lines = planned(*before)
    gone = {n for n in range(20) if draw.random() < 0.4}
    packed = has_left([(lines, [Packed(at=AT, line=n, parcels=1) for n in gone])])
    waiting = [line for n, line in enumerate(lines) if n not in gone]
    table = [draw.choice((one, one, row(one.ref.lower(), draw))) for one in before if draw.random() < 0.8]
    table += [row(f"B{n}", draw) for n in range(draw.randrange(4))]
    draw.shuffle(table)
    got = reconciled(waiting, packed, table, KNOWN, whole_table=True)
    sent = sorted(line.ref.casefold() for line in got.orders)
    assert sent == sorted(one.ref.casefold() for one in table if one.ref.casefold() not in {f"a{n}" for n in gone})
    by_ref = {line.ref.casefold(): line for line in got.orders}
    for one in table:
        if line := by_ref.get(one.ref.casefold()):
            chosen = [way for ways in line.units.values() for way in ways]
            assert (line.tier, line.country) == (one.tier, one.country)
            assert all(way in (None, c) for way, c in zip(one.colourways, chosen, strict=True))


def test_a_further_table_drops_nothing() -> None:
    """Orders it does not hold stay; those it adds are added."""
    draw = random.Random(1)
    lines = planned(row("A1", draw), row("A2", draw))
    got = reconciled(lines, {}, [row("A3", draw)], KNOWN, whole_table=False)
    assert [line.ref for line in got.orders] == ["A1", "A2", "A3"]


def test_each_change_is_told() -> None:
    """Refunded before and after it left, another address, late, part of it gone."""
    draw = random.Random(2)
    rows = {
        ref: row(ref, draw, "windowsill") for ref in ("left", "leftnew", "leftgone", "stay", "refund", "moved", "part")
    }
    lines = dict(zip(rows, planned(*rows.values()), strict=True))
    packed = {ref: lines[ref] for ref in ("left", "leftnew", "leftgone")}
    part = lines["part"].model_copy(update={"gone": Gone(units={"saucer": lines["part"].units["saucer"]})})
    other = {ref: OrderLine(**{f: getattr(rows[ref], f) for f in OrderLine.__slots__} | {"country": "NL"})
             for ref in ("leftnew", "moved", "part")}  # fmt: skip
    table = [rows["left"], other["leftnew"], rows["stay"], other["moved"], other["part"], row("late", draw)]
    got = reconciled([lines["stay"], lines["refund"], lines["moved"], part], packed, table, KNOWN, whole_table=True)
    told = {one.ref: one.what for one in got.told}
    assert told.keys() == {"leftnew", "leftgone", "refund", "moved", "part", "late"}
    assert "not sent again" in told["leftnew"]
    assert "not sent" in told["refund"]
    assert "part of it has left" in told["part"]
    assert [(line.ref, line.country) for line in got.orders if line.ref == "moved"] == [("moved", "NL")]
    assert part in got.orders
    assert "refund" not in {line.ref for line in got.orders}


def test_without_numbers_nobody_can_tell() -> None:
    """Then it is refused."""
    draw = random.Random(3)
    with pytest.raises(MappingProblem, match="only an order number tells"):
        reconciled(planned(row("A1", draw)), {}, [row("", draw)], KNOWN, whole_table=True)


def test_what_came_back_has_not_left() -> None:
    """By its line in the plan that packed it, or by its order in a later plan's log."""
    draw = random.Random(4)
    lines = planned(row("A1", draw), row("A2", draw), row("A3", draw))
    first = [Packed(at=AT, line=n, parcels=1) for n in range(3)] + [CameBack(at=AT, line=0)]
    later = [CameBack(at=AT, order=lines[1]), CameBack(at=AT, order=lines[2], again=False)]
    assert sorted(has_left([(lines, first), ([], later)])) == ["a3"]
