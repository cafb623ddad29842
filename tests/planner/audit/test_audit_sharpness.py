"""The auditor's own figures of sampling plans, and of what the log did: a plan with others does not pass."""

import json
from typing import Any

import pytest

from benchmarks.every_plan import tiny_document
from benchmarks.generator import small
from planner.audit import audit
from planner.audit.curves import _accepted
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.planner.plan.test_cases import case, planned
from tests.support.assertions import assert_plan_holds, broken_rules


def test_chances_of_letter_j_at_one_per_cent() -> None:
    """MIL-STD-105E letter J, AQL 1.0: n 80, Ac 2; 95, 50, 10 of 100 pass at 1.03, 3.33, 6.52 % (table X-J)."""
    for share, chance in ((0.0103, 0.95), (0.0333, 0.50), (0.0652, 0.10)):
        assert _accepted(80, 2, share) == pytest.approx(chance, abs=0.003)


def inspected() -> tuple[Campaign, RunPlan]:
    campaign = small(3)
    document = campaign.model_dump(mode="json", by_alias=True)
    for part in document["parts"].values():
        part["inspection"] = {"defects": {"looks": {"aql": 2.5, "level": "S2"}}, "minutes": 0.5}
    document["planning"]["rounds"] = 1
    campaign = Campaign.model_validate(document)
    return campaign, make_plan(campaign, Unhurried())


def test_curves_are_worked_out_anew() -> None:
    campaign, plan = inspected()
    assert_plan_holds(campaign, plan)
    assert plan.curves
    first = plan.curves[0]
    spoilt: list[dict[str, Any]] = [
        {"curves": plan.curves[1:]},
        {"curves": [first.model_copy(update={"consumer": first.consumer * 1.01}), *plan.curves[1:]]},
        {"curves": [first.model_copy(update={"points": [(0.0, 1.0), (0.1, 0.5)]}), *plan.curves[1:]]},
        {"curves": [first.model_copy(update={"points": first.points[::-1]}), *plan.curves[1:]]},
    ]
    for change in spoilt:
        assert "A9" in broken_rules(campaign, plan.model_copy(update=change)), change


def test_what_the_log_did_is_what_the_runs_say() -> None:
    """Kilograms with the log are those of the runs' purges; with nothing logged both figures are one."""
    campaign, plan = inspected()
    assert plan.purging is not None
    for change in ({"kg_with_log": 99.0}, {"total_with_log": 1.0}, {"total_unlogged": 1.0}, {"kg_without_log": 9.0}):
        spoilt = plan.model_copy(update={"purging": plan.purging.model_copy(update=change)})
        assert "A12" in broken_rules(campaign, spoilt), change


def test_hours_beyond_one_crew_are_owed_a_caution() -> None:
    """Presses open sixteen hours a day: the caution may not be left out, nor leave one of them out."""
    document = small(3).model_dump(mode="json", by_alias=True)
    for press in document["presses"].values():
        press["hours"] = {"mon-fri": "06:00-22:00"}
    document["planning"]["rounds"] = 1
    campaign = Campaign.model_validate(document)
    plan = make_plan(campaign, Unhurried())
    (told,) = [one for one in plan.cautions if one.about == "working time"]
    used = sorted({run.press for run in plan.runs})
    others = [one for one in plan.cautions if one is not told]
    assert "A6" in broken_rules(campaign, plan.model_copy(update={"cautions": others}))
    unnamed = told.model_copy(update={"text": told.text.replace(f"`{used[0]}`", "it")})
    assert "A6" in broken_rules(campaign, plan.model_copy(update={"cautions": [*others, unnamed]}))


def test_what_is_bought_is_the_smallest_order_for_what_the_runs_take() -> None:
    """Regrind is there only once its runners are moulded: nothing less is bought for it, and no bag more."""
    campaign, plan = case("replan_bought_16"), planned("replan_bought_16")
    line = next(line for line in plan.materials if line.id == "r0")
    taken = line.moulded_kg + line.startup_kg + line.purge_kg
    bag = campaign.resins["r0"].bag_kg
    assert line.regrind_kg > 0
    assert 0 <= line.bought_kg - (taken - line.stock_kg - line.arriving_kg) < bag
    for bags in (-10, -1, 1, 10):
        other = line.bought_kg + bags * bag
        changed = line.model_copy(update={"bought_kg": other, "left_over_kg": line.left_over_kg + bags * bag})
        lines = [changed if each.id == "r0" else each for each in plan.materials]
        verdict = audit(campaign, plan.model_copy(update={"materials": lines}))
        assert any("are to be bought" in text for rule in verdict.rules for text in rule.findings), bags
        assert json.dumps([rule.rule for rule in verdict.rules if not rule.holds]) != "[]"


def test_a_plan_of_pence_is_proven_to_the_cent_like_any_other() -> None:
    """It costs 0.16 in all: within a cent of its bound is proven, whatever share of so little that is; two cents are
    not."""
    campaign = read(tiny_document(392))
    plan = make_plan(campaign, Unhurried())
    assert plan.outcome.status == "optimal"
    assert plan.outcome.total < 1
    assert not plan.cautions or not any("our fault" in caution.text for caution in plan.cautions)
    assert_plan_holds(campaign, plan)
    outcome = plan.outcome
    for below, fine in ((0.005, True), (0.02, False)):
        bound = outcome.total - below
        said = {"lower_bound": bound, "gap": below / outcome.total, "avoidable_gap": below / outcome.avoidable}
        spoilt = plan.model_copy(update={"outcome": outcome.model_copy(update=said)})
        assert ("A12" in broken_rules(campaign, spoilt)) != fine, below
