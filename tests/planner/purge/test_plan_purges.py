"""Purges in real plans: each says from, to, barrel, kg, shots, time, cost, basis and range; the plan weighs them."""

import copy
import json
from itertools import pairwise, permutations
from math import ceil
from pathlib import Path

import pytest

from planner.campaign.melts import melt_price
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.purge.basis import Basis
from planner.purge.figures import campaign_figures, shot_mass_g
from planner.reading import read
from planner.schedule.encode.arrays import fraction
from tests.planner_double import SMALL_CAMPAIGN
from tests.support.assertions import broken_rules

DEMO = Path(__file__).resolve().parents[3] / "examples" / "herb-planter.json"


@pytest.fixture(scope="module")
def demo():
    """The demo with an absurd log entry and a purging compound at hand, and its plan after one round."""
    document = json.loads(DEMO.read_text(encoding="utf-8"))
    document["planning"] = {"rounds": 1, "seed": 1, "aim": "cost if all goes well"}
    document["purging"]["log"].append({"press": "twin", "from": "pp/ink", "to": "pp/sage", "kg": 900})
    document["purging"]["compound"] = {"price_per_kg": 4}
    campaign = read(document)
    return campaign, make_plan(campaign, Unhurried())


def changes(plan):
    """(run, purge) of every purge."""
    return [(run, purge) for run in plan.runs if run.changeover for purge in run.changeover.purges]


def barrels_of(campaign, plan):
    melts = sorted({melt for _, purge in changes(plan) for melt in (purge.from_, purge.to)})
    return melts, campaign_figures(campaign, melts)


def test_every_purge_of_the_demo_says_all_there_is_to_say(demo):
    """Against the matrix asked for anew (kg, range, basis), the tool (shots, seconds) and the prices (cost)."""
    campaign, plan = demo
    melts, figures = barrels_of(campaign, plan)
    assert len(changes(plan)) > 20
    factors = {(one.tool, one.barrel): one.factor for one in plan.purging.hot_runners}
    assert list(factors) == [("shell", 1)], "the one tool with a hot runner that the log names"
    assert {purge.basis for _, purge in changes(plan)} >= {"given", "estimated"}
    for run, purge in changes(plan):
        barrel, pair = figures[run.press, purge.barrel - 1], (melts.index(purge.from_), melts.index(purge.to))
        tool = campaign.tools[run.tool]
        if purge.where == "barrel":
            assert purge.kg == barrel.kg[pair]
            assert (purge.kg_p10, purge.kg_p90) == (barrel.low[pair], barrel.high[pair])
            assert purge.basis == Basis(int(barrel.basis[pair])).label
        else:
            assert purge.kg == pytest.approx(
                factors.get((run.tool, purge.barrel), 1)
                * barrel.estimate.hold_ups[pair]
                * tool.hot_runner_kg[purge.barrel - 1],
                abs=6e-4,
            )
            assert purge.basis == "estimated"
        assert purge.kg_p10 <= purge.kg <= purge.kg_p90
        press = campaign.presses[run.press]
        if purge.where == "barrel":
            rated = 100 * press.barrels[purge.barrel - 1].holdup_kg ** (2 / 3)
            family = campaign.resins[purge.to.split("/")[0]].family
            kg_h = (
                0.5 * round(rated, 1) * {"PP": 0.74, "TPE": 0.9, "ABS": 0.94, "POM": 1.16, "PA": 0.96}[family] / 0.945
            )
            assert (purge.shots, purge.seconds - purge.heat_seconds) == (0, ceil(purge.kg * 3600 / kg_h))
        else:
            grams = fraction(shot_mass_g(campaign, tool)[purge.barrel - 1])
            assert purge.shots == ceil(fraction(purge.kg) * 1000 / grams)
            cycle = fraction(tool.purge_cycle_s or tool.cycle_s) / fraction(press.efficiency)
            assert purge.seconds == ceil(purge.shots * cycle)
        per_kg = melt_price(campaign, purge.to) + campaign.floor.disposal_per_kg
        undyed = campaign.resins[purge.bridge].price_per_kg + campaign.floor.disposal_per_kg if purge.bridge else 0.0
        own = (purge.kg - purge.bridge_kg) * per_kg
        assert purge.cost == pytest.approx(own + purge.bridge_kg * undyed, abs=5e-4)
        assert purge.to == run.melts[purge.barrel - 1]
    paces = {(pace.press, pace.barrel): pace for pace in plan.purging.pace}
    assert set(paces) == {(run.press, purge.barrel) for run, purge in changes(plan) if purge.where == "barrel"}
    assert {pace.rests_on for pace in paces.values()} == {"its size"}
    stretches = [stretch for run in plan.runs for stretch in run.stretches]
    closings = sum(one.kg for stretch in stretches if stretch.closing for one in stretch.closing.cleared)
    reopened = sum(purge.kg for stretch in stretches for purge in stretch.purges)
    assert closings > 0, "the demo moulds acetal, which never stands overnight"
    assert plan.purge_kg == pytest.approx(sum(purge.kg for _, purge in changes(plan)) + closings + reopened)
    assert plan.purge_kg == pytest.approx(sum(line.purge_kg for line in plan.materials))


def test_the_plan_says_how_its_total_moves_with_the_log(demo):
    """The same purges by figures without a log, and as planned; a bad entry is shown and counts in neither."""
    campaign, plan = demo
    bare = campaign.model_copy(update={"purging": campaign.purging.model_copy(update={"log": []})})
    melts, unlogged = barrels_of(bare, plan)
    barrel = [(run, purge) for run, purge in changes(plan) if purge.where == "barrel"]
    without = sum(unlogged[run.press, p.barrel - 1].kg[melts.index(p.from_), melts.index(p.to)] for run, p in barrel)
    notes = plan.purging
    total_without = plan.outcome.total
    for run, p in barrel:  # by hand: the same runs at the same time, each purge with its other kilograms
        press = campaign.presses[run.press]
        more_kg = unlogged[run.press, p.barrel - 1].kg[melts.index(p.from_), melts.index(p.to)] - p.kg + p.bridge_kg
        hours = (p.seconds - p.heat_seconds) / 3600 * more_kg / (p.kg - p.bridge_kg)
        rates = (
            press.rate_per_hour + press.draws_kw * campaign.floor.price_per_kwh + campaign.floor.setter_rate_per_hour
        )
        total_without += more_kg * (melt_price(campaign, p.to) + campaign.floor.disposal_per_kg) + hours * rates
    assert notes.kg_with_log == pytest.approx(sum(purge.kg for _, purge in barrel))
    assert notes.kg_without_log == pytest.approx(without)
    assert notes.kg_with_log != notes.kg_without_log
    more = plan.model_copy(update={"purging": notes.model_copy(update={"kg_without_log": without + 1.5})})
    dearer = plan.model_copy(update={"purging": notes.model_copy(update={"total_unlogged": total_without + 2.0})})
    assert notes.total_unlogged == pytest.approx(total_without, abs=0.05)
    assert broken_rules(campaign, plan) == set()
    assert broken_rules(campaign, more) == {"A12"}
    assert broken_rules(campaign, dearer) == {"A12"}
    assert [(one.entry, one.press, one.from_) for one in notes.set_aside] == [(3, "twin", "pp/ink")]
    assert "check the unit" in notes.set_aside[0].reason
    assert {(one.press, one.barrel): one.entries for one in notes.barrels} == {("middle", 1): 1, ("twin", 1): 2}


def test_the_plan_says_where_the_compound_would_pay(demo):
    """Only where it saves money, with both quantities by the maker's own figures."""
    campaign, plan = demo
    runs = {run.id: run for run in plan.runs}
    assert plan.purging.compound
    for offer in plan.purging.compound:
        run = runs[offer.run]
        purges = [p for p in run.changeover.purges if p.barrel == offer.barrel]
        assert offer.kg == pytest.approx(sum(p.kg for p in purges))
        assert offer.rinse_kg == pytest.approx(offer.compound_kg / 1.5 * 2, abs=2e-3)
        disposal = campaign.floor.disposal_per_kg
        cost = offer.compound_kg * (4 + disposal) + offer.rinse_kg * (melt_price(campaign, offer.to) + disposal)
        assert offer.saves == pytest.approx(sum(p.cost for p in purges) - cost, abs=0.02)
        assert offer.saves > 0


def test_finishes_are_among_the_plans_cautions(demo):
    """The translucent and the natural melt of the demo, and its strong pigments."""
    _, plan = demo
    about = {caution.about: caution for caution in plan.cautions}
    assert {"colour smoke", "colour natural", "colour ink"} <= set(about)
    assert "common practice" in about["colour ink"].source
    assert about["colour ink"].text.endswith("licensed practice come first.")


@pytest.mark.parametrize("dear", [[], [("cream", "sage")], [("cream", "sage"), ("cream", "ink"), ("sage", "ink")]])
def test_the_plan_weighs_changeovers_with_these_figures(dear):
    """Four colours on one press: the plan purges what the best of all 24 orders purges.

    Melt has one price and comes by the gram: purge out of a bag that is bought anyway would cost nothing.
    """
    document = copy.deepcopy(SMALL_CAMPAIGN)
    looks = {"sage": "#8fae8b", "cream": "#efe6cf", "ink": "#232a3f", "brick": "#b5623f"}
    document["colours"] = {name: {"hex": text, "lead_days": 3, "bag_kg": 0.001} for name, text in looks.items()}
    document["resins"]["pp"] |= {"price_per_kg": 20, "bag_kg": 0.001}
    document["products"]["cup"]["colourways"] = {name: {"cup": [name]} for name in looks}
    document["orders"] = [{"tier": "one", "units": {"cup": [name]}, "count": 40} for name in looks]
    document["planning"] = {"rounds": 5}
    document["presses"]["p1"]["barrels"][0]["clean"] = True
    document["purging"] = {"given": [{"from": f"pp/{a}", "to": f"pp/{b}", "kg": 50} for a, b in dear]}
    campaign = read(document)
    plan = make_plan(campaign, Unhurried())
    melts = [f"pp/{name}" for name in looks]
    kg = campaign_figures(campaign, melts)["p1", 0].kg
    best = min(sum(kg[pair] for pair in pairwise(order)) for order in permutations(range(4)))
    assert plan.purge_kg == pytest.approx(best)
