"""Which tariff a parcel goes by, what the plan pays for it, and what the auditor sees."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from examples.situations import FOLDER, campaign_of, plan_of
from planner.audit.auditor import audit
from planner.dispatch.rates import Tariff, cheapest, for_country
from planner.errors import CampaignProblems
from planner.reading import read

HOME = Tariff(0, frozenset({"GB"}), ((0.25, 2.1), (1.0, 3.4)), (1, 3))
FAST = Tariff(1, frozenset({"GB"}), ((5.0, 3.0),), (1, 1))
REST = Tariff(2, None, ((2.0, 14.5),), None)


def test_the_cheapest_that_takes_it():
    known = [HOME, FAST, REST]
    assert cheapest(for_country(known, "GB"), 0.25).price == 2.1
    assert cheapest(for_country(known, "GB"), 0.26).tariff is FAST
    assert cheapest(for_country(known, "DE"), 0.2).tariff is REST
    assert cheapest(for_country(known, "GB"), 5.1) is None, "what names nobody is for countries that nobody names"


@given(
    kg=st.floats(0.01, 6),
    steps=st.lists(st.tuples(st.floats(0.1, 5), st.floats(0, 50)), min_size=1, max_size=5, unique_by=lambda s: s[0]),
)
def test_a_lighter_parcel_never_needs_more_than_its_step(kg, steps):
    """The first step that holds it, whatever later ones cost."""
    tariff = Tariff(0, None, tuple(sorted(steps)), None)
    found = cheapest([tariff], kg)
    holding = [price for up_to, price in sorted(steps) if kg <= up_to + 1e-9]
    assert (found.price if found else None) == (holding[0] if holding else None)


def document():
    return json.loads((FOLDER / "several-carriers.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        (lambda rates: rates[0]["to"].append("Germany"), "/carrier/rates/0/to/1", "neither a country nor one"),
        (lambda rates: rates[0]["steps"].reverse(), "/carrier/rates/0/steps/1/up_to_kg", "comes after"),
        (lambda rates: rates[0].update(door_days=[3, 1]), "/carrier/rates/0/door_days", "3 to 1 days"),
        (lambda rates: rates.pop(), "/carrier/rates", "no rate takes a parcel of 0.6 kg to NZ"),
        (lambda rates: rates.__delitem__(slice(0, 4)), "", ""),
    ],
)
def test_rates_that_make_no_sense_are_refused_with_their_field(change, where, says):
    asked = document()
    change(asked["carrier"]["rates"])
    if not where:
        assert read(asked).carrier.rates == [], "none at all: postage is no cost"
        return
    with pytest.raises(CampaignProblems) as refused:
        read(asked)
    assert [(p.pointer, says in p.message) for p in refused.value.problems] == [(where, True)]


@pytest.mark.parametrize("spoil", ["postage", "door", "cash"])
def test_the_auditor_sees_wrong_postage_and_doors(spoil):
    campaign, plan = campaign_of("several-carriers"), plan_of("several-carriers")
    assert audit(campaign, plan).holds
    if spoil == "postage":
        lines = [c.model_copy(update={"amount": c.amount - 1}) if c.what == "postage" else c for c in plan.costs]
        spoilt, rule = plan.model_copy(update={"costs": lines}), "A12"
    elif spoil == "cash":
        paid = [c.model_copy(update={"amount": c.amount - 1}) if c.of == "postage" else c for c in plan.cash]
        spoilt, rule = plan.model_copy(update={"cash": paid}), "A12"
    else:
        tiers = [t.model_copy(update={"at_the_door": t.last_dispatch.date()}) for t in plan.tiers]
        spoilt, rule = plan.model_copy(update={"tiers": tiers}), "A10"
    assert [r.rule for r in audit(campaign, spoilt).rules if not r.holds] == [rule]


def test_without_rates_nothing_changes():
    asked = document()
    asked["carrier"] = {}
    plain = read(asked)
    assert plain.carrier.rates == []
