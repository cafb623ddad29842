"""A plan with acetal, polycarbonate and PE between them: it holds, and each way of leaving heat out of it is caught."""

import copy
from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest

from planner.audit import audit
from planner.audit.a11_buying import _starts
from planner.audit.case import Case
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read

Json = dict[str, Any]


def document() -> Json:
    """One press, two resins that must not meet each other's heat, eight hours a day: acetal is closed at night."""
    return {
        "document": "campaign/1",
        "name": "valves and lenses",
        "start": "2027-01-11T06:00",
        "presses": {
            "p": {
                "barrels": [{"holdup_kg": 0.3, "shot_max_g": 200, "holds": "pc/smoke"}],
                "clamp_kn": 500,
                "hours": {"mon-fri": "06:00-14:00"},
                "rate_per_hour": 30,
            }
        },
        "tools": {
            "valve": {
                "cavities": {"valve": 2},
                "cycle_s": 30,
                "presses": ["p"],
                "hot_runner_kg": [0.05],
                "hot_runner_clean": True,
            },
            "lens": {"cavities": {"lens": 1}, "cycle_s": 40, "presses": ["p"]},
        },
        "resins": {
            "pom": {"family": "POM", "price_per_kg": 3, "stock_kg": 200, "natural_colour": "clear"},
            "pc": {"family": "PC", "price_per_kg": 4, "stock_kg": 200, "natural_colour": "clear"},
            "pe": {"family": "PE-LD", "price_per_kg": 1.4, "lead_days": 0, "natural_colour": "clear"},
        },
        "colours": {
            "smoke": {"hex": "#5b6670", "price_per_kg": 9, "stock_kg": 9},
            "clear": {"hex": "#f1f0ec", "finish": "natural", "let_down_percent": 0},
        },
        "parts": {
            "valve": {"barrels": [{"resin": "pom", "mass_g": 8}]},
            "lens": {"barrels": [{"resin": "pc", "mass_g": 30}]},
        },
        "products": {
            "q": {
                "parts": {"valve": 6, "lens": 1},
                "colourways": {
                    "clear": {"valve": ["clear"], "lens": ["clear"]},
                    "smoke": {"valve": ["clear"], "lens": ["smoke"]},
                },
            }
        },
        "tiers": {"one": {"units": {"q": 1}}},
        "orders": [
            {"tier": "one", "units": {"q": ["clear"]}, "count": 200},
            {"tier": "one", "units": {"q": ["smoke"]}, "count": 200},
        ],
        "floor": {"setter_rate_per_hour": 30, "disposal_per_kg": 0.4},
        "purging": {"compound": None},
        "planning": {"rounds": 1},
    }


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, RunPlan]:
    campaign = read(document())
    return campaign, make_plan(campaign, Unhurried())


def _shift(moment: str, seconds: int) -> str:
    return (datetime.fromisoformat(moment) + timedelta(seconds=seconds)).isoformat()


def _acetal(plan: Json) -> Json:
    return next(run for run in plan["runs"] if run["melts"] == ["pom/clear"] and len(run["stretches"]) > 1)


def _bridged(plan: Json) -> Json:
    return next(
        purge
        for run in plan["runs"]
        for purge in (run["changeover"]["purges"] if run["changeover"] else [])
        if purge["bridge"]
    )


def test_the_plan_holds_and_shows_all_of_it(made: tuple[Campaign, RunPlan]) -> None:
    """Acetal is cleared at every closing and after its last shot, purged in again; PE stands between it and PC."""
    campaign, plan = made
    assert audit(campaign, plan).holds
    acetal = [run for run in plan.runs if run.melts == ["pom/clear"]]
    assert all(stretch.closing for run in acetal for stretch in run.stretches)
    assert any(stretch.purges for run in acetal for stretch in run.stretches)
    for run in acetal:
        for stretch in run.stretches:
            assert stretch.closing is not None
            places = [(one.where, one.to, round(one.kg, 3)) for one in stretch.closing.cleared]
            assert places == [("barrel", "pe/clear", 0.9), ("hot runner", "pe/clear", 0.15)]  # three hold-ups each
    purges = [purge for run in plan.runs if run.changeover for purge in run.changeover.purges]
    over = [purge for purge in purges if purge.bridge]
    assert over
    assert all(purge.bridge == "pe" and round(purge.bridge_kg, 3) == 0.9 for purge in over)
    assert {purge.from_.split("/")[0] for purge in purges if purge.to == "pc/clear"} <= {"pc", "pe"}
    pe = next(line for line in plan.materials if line.id == "pe")
    closed = sum(one.kg for run in acetal for s in run.stretches if s.closing for one in s.closing.cleared)
    assert pe.purge_kg == pytest.approx(closed + sum(purge.bridge_kg for purge in over))
    assert pe.bought_kg >= pe.used_kg


def test_the_plan_tells_what_may_be_in_the_barrel_how_hot(made: tuple[Campaign, RunPlan]) -> None:
    """Set points are the middles of 190 to 210 and 271 to 321; acetal stands 230 (Polyplastics Duracon 2.1), so it is
    out before the barrel is hotter, and goes in when it is not. Plans of older versions do not say."""
    campaign, plan = made
    purges = [purge for run in plan.runs if run.changeover for purge in run.changeover.purges]
    acetal = next(purge.heat for purge in purges if purge.bridge and purge.to == "pom/clear")
    assert acetal is not None
    assert (acetal.from_c, acetal.set_c, acetal.old_stands_c, acetal.new_stands_c) == (296, 200, 321, 230)
    assert all(purge.heat is None for purge in purges if purge.where == "hot runner")
    older = plan.model_dump(mode="json", by_alias=True)
    for run in older["runs"]:
        for purge in [
            *(run["changeover"] or {"purges": []})["purges"],
            *(p for s in run["stretches"] for p in s["purges"]),
        ]:
            del purge["heat"]
            del purge["goes_in"]
        for stretch in run["stretches"]:
            for one in stretch["closing"]["cleared"] if stretch["closing"] else []:
                del one["goes_in"]
    assert audit(campaign, RunPlan.model_validate(older)).holds


def test_the_plan_tells_at_which_heat_each_resin_goes_in(made: tuple[Campaign, RunPlan]) -> None:
    """PE flows from 182 to 274, PC from 271 to 321, acetal from 190 and stands 230: what suits both, by hand."""
    _, plan = made
    purges = [purge for run in plan.runs if run.changeover for purge in run.changeover.purges]
    over = next(purge for purge in purges if purge.bridge and purge.to == "pom/clear")
    told = [(one.resin, one.least_c, one.most_c) for one in over.goes_in]
    assert told == [("pe", 271, 274), ("pom", 190, 230)]
    closing = next(s.closing for run in plan.runs for s in run.stretches if s.closing)
    assert [(one.where, one.goes_in.least_c, one.goes_in.most_c) for one in closing.cleared if one.goes_in] == [
        ("barrel", 190, 230),
        ("hot runner", 190, 230),
    ]
    again = next(s.purges for run in plan.runs for s in run.stretches if s.purges)
    assert [(one.where, one.goes_in[0].resin, one.goes_in[0].most_c) for one in again] == [
        ("barrel", "pom", 230),
        ("hot runner", "pom", 230),
    ]


def acetal_let_in_hotter(plan: Json) -> None:
    _bridged(plan)["heat"]["new_stands_c"] = 260


def set_where_nothing_melts(plan: Json) -> None:
    _bridged(plan)["heat"]["set_c"] -= 40


def acetal_goes_in_before_the_barrel_has_cooled(plan: Json) -> None:
    _bridged(plan)["goes_in"][1]["most_c"] = 274


def nothing_said_of_the_bridge_on_the_way(plan: Json) -> None:
    _bridged(plan)["goes_in"].pop(0)


def cleared_hotter_than_acetal_stands(plan: Json) -> None:
    for stretch in _acetal(plan)["stretches"]:
        for one in stretch["closing"]["cleared"]:
            one["goes_in"]["most_c"] = 260


def closing_left_out(plan: Json) -> None:
    stretch = _acetal(plan)["stretches"][0]
    stretch["closing"] = None


def closing_left_out_at_the_end(plan: Json) -> None:
    stretch = _acetal(plan)["stretches"][-1]
    stretch["end"] = _shift(stretch["end"], -stretch["closing"]["seconds"])
    _acetal(plan)["end"] = stretch["end"]
    stretch["closing"] = None


def closing_shaved(plan: Json) -> None:
    cleared = _acetal(plan)["stretches"][0]["closing"]["cleared"][0]
    cleared["kg"] /= 2


def closing_of_the_barrel_alone(plan: Json) -> None:
    _acetal(plan)["stretches"][0]["closing"]["cleared"].pop()


def cleared_with_its_own_resin(plan: Json) -> None:
    for stretch in _acetal(plan)["stretches"]:
        for one in stretch["closing"]["cleared"]:
            one["to"] = "pom/clear"


def cleared_with_something_too_hot(plan: Json) -> None:
    for stretch in _acetal(plan)["stretches"]:
        for one in stretch["closing"]["cleared"]:
            one["to"] = "pc/clear"


def nothing_purged_in_again(plan: Json) -> None:
    stretch = next(s for s in _acetal(plan)["stretches"] if s["purges"])
    stretch["purges"] = []


def closing_in_no_time(plan: Json) -> None:
    _acetal(plan)["stretches"][0]["closing"]["seconds"] = 0


def bridge_dropped(plan: Json) -> None:
    purge = _bridged(plan)
    for field in ("kg", "kg_p10", "kg_p90"):
        purge[field] -= purge["bridge_kg"]
    purge |= {"bridge": "", "bridge_kg": 0}


def bridge_shaved(plan: Json) -> None:
    _bridged(plan)["bridge_kg"] /= 2


def bridge_of_another_resin(plan: Json) -> None:
    _bridged(plan)["bridge"] = "pom"


def no_time_to_cool(plan: Json) -> None:
    purge = _bridged(plan)
    purge["seconds"] -= purge["heat_seconds"]
    purge["heat_seconds"] = 0


@pytest.mark.parametrize(
    "spoil",
    [
        acetal_let_in_hotter, set_where_nothing_melts, acetal_goes_in_before_the_barrel_has_cooled,
        nothing_said_of_the_bridge_on_the_way, cleared_hotter_than_acetal_stands,
        closing_left_out, closing_left_out_at_the_end, closing_shaved, closing_of_the_barrel_alone,
        cleared_with_its_own_resin, cleared_with_something_too_hot, nothing_purged_in_again, closing_in_no_time,
        bridge_dropped, bridge_shaved, bridge_of_another_resin, no_time_to_cool,
    ],
)  # fmt: skip
def test_each_way_of_leaving_it_out_is_caught(made: tuple[Campaign, RunPlan], spoil: Callable[[Json], None]) -> None:
    """By A5 wherever a changeover, a closing or a restart is not what its neighbours ask for."""
    campaign, plan = made
    data = copy.deepcopy(plan.model_dump(mode="json", by_alias=True))
    spoil(data)
    verdict = audit(campaign, RunPlan.model_validate(data))
    assert "A5" in {rule.rule for rule in verdict.rules if not rule.holds}


def test_what_clears_acetal_at_each_closing_is_gone_for_who_comes_next(made: tuple[Campaign, RunPlan]) -> None:
    """Kilograms of PE, from run to run, add up to all that the plan uses: closings after a run's first count too."""
    campaign, plan = made
    pe = ("resin", "pe")
    taken = [(must.get(pe, 0.0), goes_on.get(pe, 0.0)) for must, goes_on in _starts(Case(campaign, plan))]
    assert sum(goes_on for _, goes_on in taken) > 1
    assert sum(map(sum, taken)) == pytest.approx(next(line.used_kg for line in plan.materials if line.id == "pe"))
