"""The auditor's second opinion of purges: its colour science against print, its kilograms against the planner's."""

import csv
import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from benchmarks.generator import small
from planner.audit.colour_change import difference, may_be_left, seen
from planner.audit.purge_estimates import Opinion
from planner.campaign import Campaign
from planner.campaign.materials import Look
from planner.plan.document import RunPlan
from planner.purge.estimate import Melt, estimate
from planner.purge.figures import appearance, campaign_figures, hot_runner_fits, with_hot_runner
from planner.purge.opacity import Limit, most_left
from tests.support.assertions import broken_rules
from tests.support.pot_campaign import CAMPAIGN, pot_campaign
from tests.support.pot_plan import pot_plan

SHARMA = Path(__file__).parents[1] / "purge" / "data" / "ciede2000_sharma2005.csv"
FINISHES = ("solid", "metallic", "pearlescent", "translucent", "natural")


def test_the_auditors_colour_difference() -> None:
    """34 pairs of Sharma, Wu and Dalal, Color Research & Application 30(1), 2005, to 1e-4."""
    with SHARMA.open() as file:
        rows = [[float(value) for value in row.values()] for row in csv.DictReader(file)]
    assert len(rows) == 34
    for _, l1, a1, b1, l2, a2, b2, expected in rows:
        assert difference((l1, a1, b1), (l2, a2, b2)) == pytest.approx(expected, abs=1e-4)


def looks(seed: int) -> list[Look]:
    """Colours of every finish, given in every way."""
    rng = np.random.default_rng(seed)
    ways: list[dict[str, Any]] = [
        {"hex": f"#{int(rng.integers(1 << 24)):06x}"},
        {"lab": tuple(float(v) for v in (rng.uniform(10, 95), *rng.uniform(-40, 40, 2)))},
        {"reflectance": [float(v) for v in rng.uniform(0.02, 0.98, 31)]},
        {"hex": f"#{int(rng.integers(1 << 24)):06x}", "strength": 2.5},
        {"reflectance": [float(v) for v in np.linspace(0.05, 0.9, 31)], "strength": 0.4},
    ]
    return [Look(**way, finish=FINISHES[(k + seed) % 5]) for k, way in enumerate(ways)]


@pytest.mark.parametrize("seed", range(5))
def test_two_sums_of_what_may_be_left(seed: int) -> None:
    """Number by number and by arrays: the same fraction, and the same say of whether colour settles it."""
    palette = looks(seed)
    appearances = [found for look in palette if (found := appearance(look)) is not None]
    left, limit = most_left(appearances, 1.3)
    for i, old in enumerate(palette):
        for j, new in enumerate(palette):
            one, other = seen(old), seen(new)
            assert one is not None
            assert other is not None
            if i != j:
                fraction, by_colour = may_be_left(one, other, 1.3)
                assert math.log(fraction) == pytest.approx(math.log(left[i, j]), abs=1e-5)
                assert by_colour == (limit[i, j] == Limit.COLOUR)


def logged_pots() -> Campaign:
    """The pot workshop with a log: plain entries, one through the hot runner, stopped, absurd, far off, confirmed."""

    def entry(kg: float, old: str = "sage", new: str = "white", **more: Any) -> dict[str, Any]:
        return {"press": "two", "from": f"pp/{old}", "to": f"pp/{new}", "kg": kg} | more

    document = CAMPAIGN | {
        "colours": CAMPAIGN["colours"] | {"ink": {"hex": "#232a3f"}, "clay": {"hex": "#b5623f", "strength": 1.3}},
        "purging": CAMPAIGN["purging"]
        | {
            "log": [
                entry(3.4, "ink", "clay"),
                entry(6.1, "ink", "white"),
                entry(5.2, "ink", "white", tool="shell"),
                entry(2.2, "clay", "white", clean=False),
                entry(400, "clay", "white"),
                entry(52, "ink", "sage"),
                entry(2.8, "clay", "sage"),
                entry(9.9, "clay", "ink", confirmed=True),
                entry(2.6, "white", "ink"),
                entry(3.1, press="one"),
            ]
        },
    }
    return Campaign.model_validate(document)


def test_the_auditors_purges_are_the_planners_with_a_log() -> None:
    """Every pair in every barrel and in the hot runner: kilograms and both ends of the range."""
    campaign = logged_pots()
    opinion = Opinion(SimpleNamespace(campaign=campaign))  # type: ignore[arg-type]
    melts = [f"pp/{colour}" for colour in ("white", "sage", "ink", "clay")]
    figures = campaign_figures(campaign, melts)
    fits = hot_runner_fits(figures)
    assert set(fits) == {("shell", 0)}
    assert {len(figures[place].log.set_aside) for place in (("one", 0), ("two", 0))} == {0, 3}
    measured = set()
    for i, old in enumerate(melts):
        for j, new in enumerate(melts):
            for press in ("one", "two") if i != j else ():
                ours, theirs = opinion.barrel(press, 1, old, new), figures[press, 0]
                if (old, new) == ("pp/white", "pp/sage"):
                    continue  # given
                ends = (theirs.kg[i, j], theirs.low[i, j], theirs.high[i, j])
                assert ours[:3] == pytest.approx(ends, abs=6e-4), (press, old, new)
                measured |= {(press, old, new)} if ours.measured else set()
    assert ("two", "pp/ink", "pp/clay") in measured
    assert ("one", "pp/sage", "pp/white") in measured
    both = with_hot_runner(figures["one", 0], 0.05, None, fits["shell", 0])
    ours = opinion.hot_runner("shell", 1, "pp/ink", "pp/clay")
    alone = (
        a[2, 3] - b[2, 3] for a, b in zip(*((f.kg, f.low, f.high) for f in (both, figures["one", 0])), strict=True)
    )
    assert ours[:3] == pytest.approx(list(alone), abs=2e-3)


def test_a_resin_change_and_an_undescribed_colour() -> None:
    """By the maker's own hold-ups for the pair, and 8 where nobody said how a colour looks (common practice)."""
    document = CAMPAIGN | {"purging": {"resin_changes": [{"from": "tpe", "to": "pp", "holdups": 9}]}}
    opinion = Opinion(SimpleNamespace(campaign=Campaign.model_validate(document)))  # type: ignore[arg-type]
    assert opinion.barrel("two", 1, "tpe/white", "pp/white").kg == pytest.approx(9 * 0.6)
    assert opinion.barrel("two", 1, "pp/white", "tpe/white").kg == pytest.approx(4 * 0.6)
    assert opinion.barrel("two", 1, "pp/white", "pp/clear").kg == pytest.approx(8 * 0.6)
    look = Melt("pp", "a", appearance(Look(hex="#8fae8b"))), Melt("tpe", "a", appearance(Look(hex="#8fae8b")))
    assert float(estimate(look).hold_ups[0, 1]) == pytest.approx(4)


def purges_changed(plan: RunPlan, **to: float) -> RunPlan:
    """The plan with every purge that is estimated changed so."""
    document = plan.model_dump(by_alias=True)
    for run in document["runs"]:
        for purge in run["changeover"]["purges"] if run["changeover"] else []:
            if purge["basis"] == "estimated":
                purge.update(to)
    return RunPlan.model_validate(document)


def test_a_plan_that_purges_almost_nothing_is_caught() -> None:
    """Every estimated purge at 0.01 kg, alike everywhere; and a range that is none."""
    plan = pot_plan()
    assert "A5" in broken_rules(pot_campaign(), purges_changed(plan, kg=0.01, kg_p10=0.004, kg_p90=0.025))
    assert broken_rules(pot_campaign(), purges_changed(plan, kg_p10=0.15)) == {"A5"}
    assert broken_rules(pot_campaign(), purges_changed(plan, kg_p90=8.0)) == {"A5"}


@pytest.mark.parametrize("seed", [3, 11])
def test_a_made_plan_that_purges_almost_nothing_is_caught(seed: int) -> None:
    """The planner's own plans of random campaigns, each with an estimate in it."""
    from planner.control import Unhurried
    from planner.planning.make import make_plan

    campaign = small(seed)
    plan = make_plan(
        campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": 1})}), Unhurried()
    )
    spoilt = purges_changed(plan, kg=0.01, kg_p10=0.004, kg_p90=0.025)
    assert spoilt != plan
    assert "A5" in broken_rules(campaign, spoilt)
