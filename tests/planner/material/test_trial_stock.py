"""What a first trial on our press takes comes from stock (S10.4): no run counts on it."""

import json
from functools import cache

import pytest

from examples.situations import FOLDER
from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import PlannerError
from planner.material.trials import TrialTakes, taken_by_trials
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules
from tests.support.spoils.by_hand import Json, Spoil, of_campaign, spoilt

TRIAL = ("uncertainty", "tools", "lid", "first_trial")


def campaign(kg: float | None, stock: float = 60.0, lead_days: int | None = 10) -> Campaign:
    data = json.loads((FOLDER / "trial-on-our-press.json").read_text(encoding="utf-8"))
    if kg is not None:
        data["uncertainty"]["tools"]["lid"]["first_trial"]["kg"] = [kg]
    data["resins"]["pp"] |= {"stock_kg": stock, "lead_days": lead_days}
    data["colours"]["sage"]["let_down_percent"] = 4
    data["planning"]["rounds"] = 5
    return read(data)


@cache
def used() -> float:
    """Kg of resin that all runs take."""
    return resin(make_plan(campaign(None, 500), Unhurried())).used_kg


def resin(plan: RunPlan):
    return next(line for line in plan.materials if line.kind == "resin")


@cache
def good() -> tuple[Campaign, RunPlan]:
    """Stock is enough for the runs and not for the trial beside them."""
    made = campaign(5, used() + 1)
    return made, make_plan(made, Unhurried())


def test_kilograms_by_hand() -> None:
    """5 kg of sage at 4 % are 4.8 kg of resin and 0.2 kg of masterbatch; of 3 kg in stock no more than these."""
    assert taken_by_trials(campaign(5)) == {
        ("resin", "pp"): pytest.approx((4.8, 4.8)), ("masterbatch", "sage"): pytest.approx((0.2, 0.2))
    }  # fmt: skip
    assert taken_by_trials(campaign(5, 3))["resin", "pp"] == pytest.approx(TrialTakes(4.8, 3.0))
    assert taken_by_trials(campaign(None)) == {}


def test_without_it_nothing_is_bought() -> None:
    """What is short is 3.8 kg: one bag of 25, of which 21.2 are left over and paid for."""
    (_, plan), without = good(), make_plan(campaign(None, used() + 1), Unhurried())
    line = resin(plan)
    assert (line.trials_kg, line.trials_brought_kg) == (pytest.approx(4.8), 0)
    assert line.stock_kg == pytest.approx(used() + 1 - 4.8)
    assert line.bought_kg == 25
    assert resin(without).bought_kg == 0
    left = {cost.what: cost.amount for cost in plan.costs}["unused minimum orders"]
    assert left == pytest.approx((25 - 3.8) * 2, abs=0.01)
    assert plan.audit is not None
    assert plan.audit.holds


def test_where_no_more_can_be_bought_the_campaign_is_refused_or_short() -> None:
    with pytest.raises(PlannerError, match="pp"):
        make_plan(campaign(5, used() + 1, None), Unhurried())
    assert make_plan(campaign(5, used() + 5, None), Unhurried()).audit is not None


def said(field: str, more: float) -> Spoil:
    def change(_: Json, plan: Json) -> None:
        line = next(one for one in plan["materials"] if one["kind"] == "resin")
        line[field] += more

    return change


SPOILT: dict[str, tuple[str, Spoil]] = {
    "the trial takes more": ("A11", of_campaign([9], *TRIAL, "kg")),
    "the trial takes nothing": ("A11", of_campaign([], *TRIAL, "kg")),
    "its kg are not said": ("A11", said("trials_kg", -4.8)),
    "they are to be brought": ("A11", said("trials_brought_kg", 4.8)),
    "stock is what it was before": ("A11", said("stock_kg", 4.8)),
    "no more is bought": ("A3", said("bought_kg", -25)),
}


@pytest.mark.parametrize("name", SPOILT)
def test_a_spoilt_plan_is_caught(name: str) -> None:
    assert SPOILT[name][0] in broken_rules(*spoilt(*good(), SPOILT[name][1]))


def test_once_it_has_been_tried_its_kilograms_are_gone() -> None:
    """The trial begins on Tuesday at 8:00."""
    made, plan = good()
    for as_of, gone in (("2027-01-12T07:00", 0.0), ("2027-01-12T12:00", 4.8)):
        log = Actuals.model_validate({"as_of": as_of, "entries": []})
        left = from_here(made, plan, log).campaign
        assert left.resins["pp"].stock_kg == pytest.approx(used() + 1 - gone, abs=0.001)
        assert taken_by_trials(left).get(("resin", "pp"), TrialTakes(0, 0)).kg == pytest.approx(4.8 - gone)
