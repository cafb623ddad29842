"""Price breaks of which more costs more for each are planned with, and asked about beside the plan."""

import json

import pytest

from planner.campaign.price_breaks import dearer_for_more
from planner.cautions.prices import rising_prices
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.pot_campaign import pot_campaign


@pytest.mark.parametrize(
    ("price", "breaks", "found"),
    [
        (0.5, [], None),
        (0.5, [(1000, 0.42), (5000, 0.35)], None),
        (0.5, [(1000, 0.5), (5000, 0.5)], None),
        (0.5, [(1000, 0.42), (5000, 0.53)], ((1000, 0.42), (5000, 0.53))),
        (0.5, [(5000, 0.35), (1000, 4.2)], ((0, 0.5), (1000, 4.2))),
        (0, [(1000, 0.42)], ((0, 0), (1000, 0.42))),
    ],
)
def test_where_more_costs_more(price, breaks, found):
    """Steps in any order; a price that was never said is 0, and rises at the first step."""
    assert dearer_for_more(price, breaks) == found


def with_breaks(section, thing, **said):
    document = json.loads(pot_campaign().model_dump_json(by_alias=True, exclude_unset=True))
    document[section][thing] |= said
    return document


def test_each_of_what_is_bought_is_looked_at():
    document = with_breaks("resins", "pp", price_per_kg=2, price_breaks=[{"kg": 500, "price_per_kg": 19}])
    document["colours"]["sage"] |= {"price_per_kg": 9, "price_breaks": [{"kg": 10, "price_per_kg": 8}]}
    document["pieces"]["felt"] = {"price": 1, "lead_days": 3, "price_breaks": [{"pieces": 10, "price": 1.5}]}
    found = list(rising_prices(read(document)))
    assert [one.about for one in found] == ["price breaks of felt", "price breaks of pp"]
    assert "From 500 on each costs 19, and before that 2: more of `pp` costs more" in found[1].text


def test_a_plan_asks_about_it_and_holds():
    """By the prices as the campaign says them: those the plan settles on (500 kg are never bought) say nothing."""
    plan = make_plan(
        read(with_breaks("resins", "pp", price_per_kg=2, price_breaks=[{"kg": 1, "price_per_kg": 20}])), Unhurried()
    )
    assert plan.audit.holds
    assert [one.about for one in plan.cautions if one.about.startswith("price breaks")] == ["price breaks of pp"]
    falling = [{"kg": 1, "price_per_kg": 1.9}, {"kg": 2, "price_per_kg": 1.8}]
    plan = make_plan(read(with_breaks("resins", "pp", price_per_kg=2, price_breaks=falling)), Unhurried())
    assert not [one for one in plan.cautions if one.about.startswith("price breaks")]
