"""Reasons in supporters' words: names as typed, none of the shop's words, from the plan's own chain."""

from datetime import datetime, timedelta

import pytest

from planner.plan.binding import Link, TierChain, Why
from planner.plan.phrases import mould_of
from planner.promise.scenarios import draw
from planner.promise.supporters import reasons, unsure_of
from tests.planner.promise.chains import chain
from tests.planner.promise.test_update import feb, promised
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

JARGON = ("press", "tool", "shot", "purge", "cycle", "scrap", "masterbatch", "efficiency", "bench")
START = datetime(2027, 1, 4)


def test_every_factor_of_a_campaign_has_words_without_the_shops():
    """All that the common case draws; a name of the maker's may hold any word."""
    campaign = pot_campaign()
    factors = draw(campaign, 10, 1).factors
    assert factors
    for factor in factors:
        said = unsure_of(campaign, factor.name, "no words of ours")
        assert said != "no words of ours", factor.name
        assert not any(word in said for word in JARGON), said


def test_a_factor_nobody_foresaw_keeps_the_makers_words():
    assert unsure_of(pot_campaign(), "trial/monday", "the trial on Monday") == "the trial on Monday"


def test_a_mould_is_named_after_what_it_makes():
    campaign = chain({"a": (1, 1, 1)})
    assert mould_of(campaign, "a") == "the mould for a"
    assert mould_of(campaign, "elsewhere") == "the mould elsewhere"


@pytest.mark.parametrize(
    ("links", "said"),
    [
        ([("packing", "b", 9), ("run", "r", 200), ("tool ready", "a", 100)], "we are waiting for the mould for a"),
        ([("run", "r", 9), ("piece", "Kork (rund)", 48)], "we are waiting for a delivery of Kork (rund)"),
        ([("run", "r", 9), ("material", "resin pp", 48)], "we are waiting for a delivery of pp"),
        ([("run", "r", 90), ("changeover", "r", 30), ("packing", "b", 100)], "moulding takes time"),
        ([("run", "r", 9), ("piece", "cork", 3), ("packing", "b", 50)], "packing takes time"),
        ([("pick-up full", "b", 70), ("run", "r", 9)], "the carrier takes so many parcels at a time"),
        ([], ""),
    ],
)
def test_what_a_chain_waited_for(links, said):
    """From outside before our own work, if it took a day; else what took longest."""
    at, made = START, []
    for kind, of, hours in links:
        made.append(Link(kind=kind, of=of, since=at, until=at + timedelta(hours=hours)))
    plan = pot_plan()
    one = TierChain(tier="single", batch="b", last_dispatch=START, links=made, hours=[], words="")
    why = Why.model_construct(chains=[one])
    found = reasons(chain({"a": (1, 1, 1)}), plan.model_copy(update={"why": why}), promised(single=feb(12)))
    assert found.held.get("single", "") == said
