"""Plans that purge with a compound: they hold, and each way of spoiling what they say of it is caught."""

from collections.abc import Callable
from typing import Any

import pytest

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.campaign.planning import Aim
from planner.control import Unhurried
from planner.errors import Infeasible, NoneFound
from planner.plan import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from planner.reading.checks import check
from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.compound import cleaned
from tests.support.nudges import leaves, nudged
from tests.support.sampled import sampled
from tests.support.spoils import WAYS, NoPlace, spoil
from tests.support.spoils.ways import Spoilt, Way, later

BENCH = {"people": 2, "hours": {"mon-fri": "08:00-16:00"}}
COMPOUND: dict[str, Any] = {
    "name": "scrub", "price_per_kg": 5, "holdups": 1, "rinse_holdups": 1.25, "soak_minutes": 3, "hot_runners": True,
    "stock_kg": 0.3, "lead_days": 2, "bag_kg": 2, "resins": ["pp"],
    "given": [{"from": "pp/ink", "to": to, "kg": 0.3, "rinse_kg": 0.6, "soak_minutes": 4}
              for to in ("pp/sage", "pp/cream")],
    "rules": [{"use": "never", "from": "pp/cream", "to": "pp/ink"}], "use": "always",
}  # fmt: skip


def workshop(**compound: Any) -> Campaign:
    """Ink, cream and sage cups on one press with a hot runner, the barrel full of ink at the start."""
    looks = {"sage": "#8fae8b", "cream": "#efe6cf", "ink": "#232a3f"}
    return read(
        {
            "name": "Cups", "time_zone": "Europe/London", "start": "2027-01-11T06:00",
            "presses": {"p1": {"barrels": [{"holdup_kg": 0.4, "shot_max_g": 200, "holds": "pp/ink"}],
                               "clamp_kn": 800, "rate_per_hour": 30, "hours": {"mon-fri": "06:00-14:00"}}},
            "tools": {"cup": {"cavities": {"cup": 2}, "cycle_s": 30, "hot_runner_kg": [0.1],
                              "hot_runner_clean": True, "presses": ["p1"]}},
            "resins": {"pp": {"family": "PP", "price_per_kg": 3, "stock_kg": 500}},
            "colours": {name: {"hex": text, "stock_kg": 50} for name, text in looks.items()},
            "parts": {"cup": {"barrels": [{"resin": "pp", "mass_g": 40}]}},
            "products": {"cup": {"parts": {"cup": 1}, "colourways": {c: {"cup": [c]} for c in looks}}},
            "tiers": {"one": {"units": {"cup": 1}, "pack_minutes": 1}},
            "orders": [{"tier": "one", "units": {"cup": [c]}, "count": 300} for c in looks],
            "assembly": BENCH, "packing": BENCH, "pick_ups": {"days": ["fri"], "time": "15:00"},
            "floor": {"disposal_per_kg": 0.3, "setter_rate_per_hour": 20}, "planning": {"rounds": 2},
            "purging": {"compound": COMPOUND | compound},
        }
    )  # fmt: skip


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, RunPlan]:
    campaign = workshop(lead_days=0)
    assert check(campaign) == []
    return campaign, make_plan(campaign, Unhurried())


def test_a_plan_with_compound_holds_and_offers_every_place(made: tuple[Campaign, RunPlan]) -> None:
    """Barrel and hot runner, by hold-ups and by a given figure, from stock and bought: else the spoils show nothing."""
    campaign, plan = made
    assert_plan_holds(campaign, plan)
    purges = [p for run in plan.runs if run.changeover for p in run.changeover.purges if p.compound_kg > 0]
    assert {p.where for p in purges} == {"barrel", "hot runner"}
    assert {p.basis for p in purges} == {"given", "estimated"}
    (line,) = [line for line in plan.materials if line.kind == "purging compound"]
    assert line.id == "scrub"
    assert line.bought_kg > 0
    assert line.order_by is not None


Change = Callable[[Spoilt, dict[str, Any]], Any]
SPOILS: list[tuple[str, str, Change]] = [
    ("A5", "more compound than the campaign says", lambda s, p: p.update(compound_kg=p["compound_kg"] + 0.01)),
    ("A5", "less melt to rinse it out", lambda s, p: p.update(rinse_kg=p["rinse_kg"] - 0.01)),
    ("A5", "kilograms that do not add up", lambda s, p: p.update(kg=p["kg"] + 0.01)),
    ("A5", "no soak", lambda s, p: p.update(soak_seconds=0, seconds=p["seconds"] - p["soak_seconds"])),
    ("A5", "a soak that takes no time", lambda s, p: p.update(seconds=p["seconds"] - p["soak_seconds"])),
    ("A5", "passed off as melt", lambda s, p: p.update(way="melt alone")),
    ("A5", "passed off as measured", lambda s, p: p.update(basis="measured")),
    ("A5", "where the maker says never", lambda s, p: s.campaign["purging"]["compound"].update(use="never")),
    ("A5", "resins it is not fit for", lambda s, p: s.campaign["purging"]["compound"].update(resins=["abs"])),
    ("A5", "hot runners it is not fit for", lambda s, p: s.campaign["purging"]["compound"].update(hot_runners=False)),
    ("A5", "a closer rule says never", lambda s, p: s.campaign["purging"]["compound"]["rules"].append(
        {"use": "never", "from": p["from"], "to": p["to"], "press": "p1"})),
    ("A5", "another figure given", lambda s, p: s.campaign["purging"]["compound"]["given"].append(
        {"from": p["from"], "to": p["to"], "kg": 0.2, "rinse_kg": 0.2, "press": "p1"})),
    ("A3", "none in stock and a late order", lambda s, p: s.campaign["purging"]["compound"].update(
        stock_kg=0, lead_days=9)),
    ("A11", "bought for nothing", lambda s, p: _line(s).update(bought_kg=_line(s)["bought_kg"] + 2)),
    ("A11", "not bought", lambda s, p: _line(s).update(bought_kg=0, order_by=None)),
    ("A11", "ordered too late", lambda s, p: _line(s).update(order_by=later(_line(s)["first_use"], 9 * 86400)[:10])),
    ("A11", "less used than the purges take", lambda s, p: _line(s).update(purge_kg=0.1, used_kg=0.1)),
    ("A11", "left out of the list", lambda s, p: s.plan["materials"].remove(_line(s))),
    ("A12", "paid as melt", lambda s, p: p.update(cost=p["kg"] * 3.3)),
    ("A12", "its cost line left out", lambda s, p: s.plan["costs"].remove(
        next(line for line in s.plan["costs"] if line["what"] == "purging compound"))),
    ("A12", "another price", lambda s, p: s.campaign["purging"]["compound"].update(price_per_kg=6)),
]  # fmt: skip


def _line(s: Spoilt) -> dict[str, Any]:
    return next(line for line in s.plan["materials"] if line["kind"] == "purging compound")


@pytest.mark.parametrize(("rule", "what", "change"), SPOILS, ids=[f"{r}-{w}" for r, w, _ in SPOILS])
def test_a_spoilt_cleaning_is_caught(made: tuple[Campaign, RunPlan], rule: str, what: str, change: Change) -> None:
    def apply(s: Spoilt) -> None:
        purges = [p for run in s.plan["runs"] if run["changeover"] for p in run["changeover"]["purges"]]
        change(s, next(p for p in purges if p["compound_kg"] > 0 and p["where"] == "barrel"))

    assert rule in broken_rules(*spoil(Way(rule, what, apply), *made))


def test_every_other_way_of_spoiling_is_caught_as_well(made: tuple[Campaign, RunPlan]) -> None:
    """A third of the register on this plan, and of the values of its purges and materials, nudged."""
    tried = 0
    for way in sampled(WAYS, 3):
        try:
            spoilt = spoil(way, *made)
        except NoPlace:
            continue
        tried += 1
        assert way.rule in broken_rules(*spoilt), way.name
    assert tried > 30
    spoken = [path for path in leaves(made[1]) if "purges" in path or path[0] == "materials"]
    unseen = [path for path in sampled(spoken, 3) if not broken_rules(made[0], nudged(made[1], path))]
    assert unseen == []


def test_plans_of_random_campaigns_with_a_compound_hold() -> None:
    """Cheap or dear, scarce, late, with rules: what is planned holds, and it is used in many of them."""
    used = planned = 0
    for seed in range(300, 311):
        campaign = cleaned(small(seed), seed)
        aim = ("cost", "soonest", "waste")[seed % 3]
        brief = campaign.planning.model_copy(update={"rounds": 1, "aim": aim})
        campaign = campaign.model_copy(update={"planning": brief})
        try:
            plan = make_plan(campaign, Unhurried())
        except (Infeasible, NoneFound):
            continue
        planned += 1
        used += plan.purging is not None and plan.purging.compound_use is not None
        again = RunPlan.model_validate_json(plan.model_dump_json(by_alias=True))
        assert_plan_holds(Campaign.model_validate_json(campaign.model_dump_json(by_alias=True)), again)
    assert planned >= 8
    assert used >= 4


@pytest.mark.parametrize("seed", [2133, 2193])
def test_a_run_may_wait_for_a_delivery_of_compound(seed: int) -> None:
    """Where compound is always wanted a run begins when it comes, and the auditor finds that delivery."""
    plan = make_plan(quick(cleaned(small(seed), seed)), Unhurried())
    assert any(run.waits_for == "material" for run in plan.runs)


def test_who_waits_for_a_few_grams_is_told_right() -> None:
    """The first run to take a masterbatch takes less of it than a printed mass is rounded to."""
    plan = make_plan(quick(small(1574), "waste"), Unhurried())
    assert any(line.id == "sage" and line.if_late.startswith("Run run-2 ") for line in plan.materials)


def quick(campaign: Campaign, aim: Aim = "cost") -> Campaign:
    """Planned in one round."""
    brief = campaign.planning.model_copy(update={"rounds": 1, "aim": aim})
    return campaign.model_copy(update={"planning": brief})
