"""Parcels that did not arrive: orders again or not, their contents gone or in hand."""

import pytest

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from tests.support.pot_campaign import pot_campaign

AT = "2027-01-20T10:00"


def after(*entries: dict[str, object]) -> Campaign:
    """The pots with plenty in stock, from the day after those entries."""
    pots = pot_campaign()
    parts = {
        name: part.model_copy(update={"stock": [s.model_copy(update={"count": 10_000}) for s in part.stock]})
        for name, part in pots.parts.items()
    }
    log = {"as_of": "2027-01-21T08:00", "entries": [{"at": AT, **entry} for entry in entries]}
    return from_here(pots.model_copy(update={"parts": parts}), None, Actuals.model_validate(log)).campaign


def orders(campaign: Campaign) -> int:
    """Orders still to be sent."""
    return sum(line.count for line in campaign.orders)


def in_hand(campaign: Campaign) -> tuple[dict[str, int], dict[str, int], int]:
    """Pieces, parts and assembled units in stock."""
    parts = {name: sum(s.count for s in part.stock) for name, part in campaign.parts.items()}
    units = sum(sum(product.assembled.values()) for product in campaign.products.values())
    return {name: piece.stock for name, piece in campaign.pieces.items()}, parts, units


PACKED = {"what": "packed", "line": 0, "parcels": 3}


def test_lost_and_sent_again() -> None:
    """Two orders more to send; what was in them is gone."""
    before, now = after(PACKED), after(PACKED, {"what": "came-back", "line": 0, "parcels": 2})
    assert orders(now) == orders(before) + 2
    assert in_hand(now) == in_hand(before)


def test_come_back_whole_and_sent_again() -> None:
    """The units are in hand; their cartons are not."""
    back = {"what": "came-back", "line": 0, "parcels": 2, "in_hand": True}
    before, now = after(PACKED), after(PACKED, back)
    assert orders(now) == orders(before) + 2
    none = after()
    assert in_hand(none)[0] != in_hand(now)[0] or not pot_campaign().pieces
    gained = {name: in_hand(now)[1][name] - in_hand(before)[1][name] for name in in_hand(now)[1]}
    assert all(number >= 0 for number in gained.values())


def test_refunded_is_not_sent_again() -> None:
    """Lost: nothing changes. Come back whole: its units are in hand for others."""
    refunded = {"what": "came-back", "line": 0, "parcels": 1, "again": False}
    before = after(PACKED)
    assert orders(after(PACKED, refunded)) == orders(before)
    assert in_hand(after(PACKED, refunded)) == in_hand(before)
    whole = after(PACKED, refunded | {"in_hand": True})
    assert orders(whole) == orders(before)
    assert in_hand(whole)[2] == in_hand(before)[2] + 1


def test_an_order_that_left_before_this_plan() -> None:
    """Said as an order: one more to send."""
    line = pot_campaign().orders[0].model_dump(mode="json", exclude_unset=True) | {"count": 1, "ref": "Z9"}
    now = after({"what": "came-back", "order": line})
    assert orders(now) == orders(after()) + 1
    assert now.orders[-1].ref == "Z9"


@pytest.mark.parametrize(
    ("entries", "told"),
    [
        ([{"what": "came-back", "line": 0, "parcels": 1}], "0 packed by this log before"),
        ([PACKED, {"what": "came-back", "line": 0, "parcels": 4}], "3 packed"),
        ([PACKED, {"what": "came-back", "line": 0, "parcels": 2, "again": False},
          {"what": "came-back", "line": 0, "parcels": 2}], "1 packed"),
        ([{"what": "came-back", "order": {"tier": "none", "units": {"none": ["none"]}}}], "there is no tier"),
    ],
)  # fmt: skip
def test_what_cannot_have_come_back(entries: list[dict[str, object]], told: str) -> None:
    """More than was packed, refunds counted; an order of nothing the campaign knows."""
    with pytest.raises(CampaignProblems) as refused:
        after(*entries)
    assert any(told in problem.message for problem in refused.value.problems)
