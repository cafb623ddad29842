"""One colourway fewer or more: what becomes of the orders, and that nothing is lost on the way."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.campaign import Campaign
from planner.campaign.materials import Colour
from planner.campaign.orders import OrderLine
from planner.colourways.add_colourway import with_another
from planner.colourways.changed import units_by_colourway, with_orders
from planner.colourways.drop_colourway import without
from planner.colourways.sharing import Sharing
from planner.errors import CampaignProblems
from tests.support.pot_campaign import CAMPAIGN
from tests.support.sampled import examples

COLOURS = ["sage", "white", "sand"]


def pots(orders=None) -> Campaign:
    """The pots in a third colourway, with these orders (tier, colourways, count)."""
    document = CAMPAIGN | {"colours": CAMPAIGN["colours"] | {"sand": {"hex": "#d8c9a3", "lead_days": 2}}}
    pot = CAMPAIGN["products"]["pot"]
    sand = {"shell": ["sand", "clear"], "lid": ["sand"], "clip": ["sand"]}
    document["products"] = {"pot": pot | {"colourways": pot["colourways"] | {"sand": sand}}}
    document["colours"]["white"] = document["colours"]["white"] | {"lead_days": 2}
    document["colours"]["sage"] = document["colours"]["sage"] | {"lead_days": 2}
    document["resins"] = {name: resin | {"lead_days": 2} for name, resin in CAMPAIGN["resins"].items()}
    document["pieces"] = {name: piece | {"lead_days": 2} for name, piece in CAMPAIGN["pieces"].items()}
    campaign = Campaign.model_validate(document)
    if orders is None:
        return campaign
    lines = [OrderLine(tier=tier, units={"pot": units}, count=count) for tier, units, count in orders]
    return with_orders(campaign, lines)


def parcels(campaign: Campaign) -> int:
    return sum(line.count for line in campaign.orders)


lines = st.lists(
    st.one_of(
        st.tuples(st.just("one"), st.lists(st.sampled_from(COLOURS), min_size=1, max_size=1), st.integers(1, 60)),
        st.tuples(st.just("pair"), st.lists(st.sampled_from(COLOURS), min_size=2, max_size=2), st.integers(1, 60)),
    ),
    min_size=1,
    max_size=12,
)


@given(lines)
@settings(max_examples=examples(60), deadline=None)
def test_moved_orders_keep_every_parcel_and_every_unit(orders) -> None:
    """And go to the others by their share of the units, to within one order for each colourway."""
    campaign = pots(orders)
    before = units_by_colourway(campaign, "pot")
    changed = without(campaign, "pot", "sand")
    after = units_by_colourway(changed.campaign, "pot")
    assert parcels(changed.campaign) == parcels(campaign)
    assert sum(after.values()) == sum(before.values())
    assert after["sand"] == 0
    assert sum(changed.moved.values()) == before["sand"]
    assert Counter(after) == Counter({name: before[name] for name in ("sage", "white")}) + Counter(changed.moved)
    others = before["sage"] + before["white"]
    for name in ("sage", "white"):
        share = before[name] / others if others else 0.5
        assert abs(changed.moved.get(name, 0) - share * before["sand"]) <= 2 * 2, "two orders of at most two units"


@given(lines)
@settings(max_examples=examples(60), deadline=None)
def test_dropped_orders_go_whole_and_no_other_order_changes(orders) -> None:
    campaign = pots([*orders, ("one", ["sage"], 1)])
    changed = without(campaign, "pot", "sand", "drop")
    kept = [line for line in campaign.orders if "sand" not in line.units["pot"]]
    assert changed.campaign.orders == kept
    assert changed.orders_dropped == parcels(campaign) - parcels(changed.campaign)


@given(lines, st.floats(0.01, 0.5))
@settings(max_examples=examples(60), deadline=None)
def test_one_more_takes_its_share_of_every_other(orders, share) -> None:
    """Within what whole orders allow; parcels and units stay as many as they were."""
    campaign = pots(orders)
    before = units_by_colourway(campaign, "pot")
    parts = {"shell": ["moss", "clear"], "lid": ["moss"], "clip": ["moss"]}
    moss = {"moss": Colour(hex="#5a6b3b", lead_days=2)}
    changed = with_another(campaign, "pot", "moss", parts, share, moss)
    after = units_by_colourway(changed.campaign, "pot")
    assert parcels(changed.campaign) == parcels(campaign)
    assert sum(after.values()) == sum(before.values())
    assert changed.moved == {"moss": after["moss"]}
    for name in COLOURS:
        assert after[name] <= before[name]
    assert abs(after["moss"] - share * sum(before.values())) <= 2 * len(COLOURS)


def test_units_that_were_alike_stay_alike() -> None:
    changed = without(
        pots([("pair", ["sand", "sand"], 30), ("one", ["sage"], 10), ("one", ["white"], 20)]), "pot", "sand"
    )
    pairs = {(line.units["pot"][0], line.count) for line in changed.campaign.orders if line.tier == "pair"}
    assert pairs == {("sage", 10), ("white", 20)}
    assert all(len(set(line.units["pot"])) == 1 for line in changed.campaign.orders)


def test_add_ons_move_as_well() -> None:
    line = OrderLine(tier="one", units={"pot": ["sage"]}, extra_units={"pot": ["sand"]}, count=4)
    changed = without(with_orders(pots(), [line]), "pot", "sand")
    assert [one.extra_units for one in changed.campaign.orders] == [{"pot": ["sage"]}]


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: without(pots(), "jug", "sand"), "no product `jug`"),
        (lambda: without(pots(), "pot", "puce"), "no colourway `puce`"),
        (
            lambda: without(without(without(pots(), "pot", "sand").campaign, "pot", "white").campaign, "pot", "sage"),
            "only",
        ),
        (lambda: without(pots([("one", ["sand"], 5)]), "pot", "sand", "drop"), "nothing is left"),
        (lambda: with_another(pots(), "pot", "sand", {}), "there is a `sand` already"),
        (lambda: with_another(pots(), "jug", "moss", {}), "no product `jug`"),
        (lambda: with_another(pots(), "pot", "moss", {"shell": ["sage", "clear"]}), "lid"),
        (lambda: with_another(pots(), "pot", "moss", {}, 0.7), "at most 0.5"),
    ],
)
def test_what_cannot_be_is_refused_with_words(call, words) -> None:
    with pytest.raises(CampaignProblems, match=words):
        call()


def test_sharing_carries_what_is_left_over() -> None:
    """Ten lines of one order at a third and two thirds: three and seven, never all to one."""
    sharing = Sharing({"a": 1 / 3, "b": 2 / 3})
    given_out: Counter[str] = Counter()
    for _ in range(10):
        given_out.update(sharing.all_of(1))
    assert given_out == {"a": 3, "b": 7}
