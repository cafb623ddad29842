"""Several campaigns on one floor (K) before the auditor: told apart they add up, each way to spoil that is caught."""

from collections.abc import Callable
from typing import Any

import pytest

from examples.situations import campaign_of, plan_of
from planner.audit import audit
from planner.audit.any_order import IN_ANY_ORDER
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules

Plan = dict[str, Any]
MADE: dict[str, RunPlan] = {}


def _plan() -> RunPlan:
    if "plan" not in MADE:
        MADE["plan"] = plan_of("two-campaigns")
    return MADE["plan"]


def _line(plan: Plan, what: str, campaign: int = 1) -> Plan:
    found: Plan = next(line for line in plan["campaigns"][campaign]["costs"] if line["what"] == what)
    return found


def _moved_to_the_other(plan: Plan) -> None:
    for campaign, money in ((0, 5.0), (1, -5.0)):
        _line(plan, "press hours", campaign)["amount"] += money
        plan["campaigns"][campaign]["total"] += money


def _shared_called_its_own(plan: Plan) -> None:
    line = _line(plan, "press hours")
    plan["campaigns"][1]["shared"] -= line["shared"]
    line["shared"] = 0.0


def _purge_paid_by_the_other(plan: Plan) -> None:
    line = _line(plan, "purge material")
    plan["campaigns"][1]["costs"].remove(line)
    plan["campaigns"][0]["costs"].append(line)
    for campaign, money in ((0, line["amount"]), (1, -line["amount"])):
        plan["campaigns"][campaign]["total"] += money


def _a_line_twice(plan: Plan) -> None:
    plan["campaigns"][1]["costs"].append(dict(_line(plan, "press hours"), amount=0.0, shared=0.0))


def _one_left_out(plan: Plan) -> None:
    plan["campaigns"].pop()


def _none_told(plan: Plan) -> None:
    plan["campaigns"] = []


def _total_played_down(plan: Plan) -> None:
    plan["campaigns"][1]["total"] -= 1


def _another_tier(plan: Plan) -> None:
    plan["campaigns"][1]["tiers"] = ["one tray"]


def _fewer_parcels(plan: Plan) -> None:
    plan["campaigns"][0]["parcels"] -= 1


def _late_kept_quiet(plan: Plan) -> None:
    plan["campaigns"][0]["days_late"] += 3


def _leaves_sooner(plan: Plan) -> None:
    plan["campaigns"][0]["last_dispatch"] = plan["start"]


def _less_material(plan: Plan) -> None:
    plan["campaigns"][0]["materials"][0]["kg"] -= 1


def _more_leaflets(plan: Plan) -> None:
    plan["campaigns"][0]["pieces"]["leaflet"] += 1


def _saves_what_it_cannot(plan: Plan) -> None:
    plan["campaigns"][0]["could_save"] += 10


@pytest.mark.parametrize(
    "spoil",
    [
        _moved_to_the_other, _shared_called_its_own, _purge_paid_by_the_other, _a_line_twice, _one_left_out, _none_told,
        _total_played_down, _another_tier, _fewer_parcels, _late_kept_quiet, _leaves_sooner, _less_material,
        _more_leaflets, _saves_what_it_cannot,
    ],
)  # fmt: skip
def test_each_way_to_spoil_what_is_told_apart_is_caught(spoil: Callable[[Plan], None]) -> None:
    campaign, plan = campaign_of("two-campaigns"), _plan()
    assert audit(campaign, plan).holds
    data = plan.model_dump(mode="json", by_alias=True)
    spoil(data)
    assert broken_rules(campaign, RunPlan.model_validate(data)) == {"A12"}


def _could_save(plan: Plan, saving: float, decided: Callable[[str], bool]) -> None:
    """As if so much could be saved, each campaign its share by the lines of its own that are decided."""
    outcome = plan["outcome"]
    outcome |= {"lower_bound": outcome["total"] - saving, "status": "feasible", "ended": "budget used"}
    outcome |= {"gap": saving / outcome["total"], "avoidable_gap": saving / outcome["avoidable"]}
    own = [sum(line["amount"] for line in one["costs"] if decided(line["what"])) for one in plan["campaigns"]]
    for one, mine in zip(plan["campaigns"], own, strict=True):
        one["could_save"] = saving * mine / sum(own)


def test_what_could_be_saved_is_shared_by_what_the_order_of_work_decides() -> None:
    """Not by what costs the same in any order: nobody saves resin by moulding sooner."""
    campaign, data = campaign_of("two-campaigns"), _plan().model_dump(mode="json", by_alias=True)
    _could_save(data, 20.0, lambda what: what not in IN_ANY_ORDER)
    assert broken_rules(campaign, RunPlan.model_validate(data)) == set()
    for wrong in (lambda what: what in IN_ANY_ORDER, lambda what: True):
        _could_save(data, 20.0, wrong)
        assert broken_rules(campaign, RunPlan.model_validate(data)) == {"A12"}


def test_one_campaign_is_not_told_apart() -> None:
    """Nor where all tiers are of one other campaign, nor where nobody ordered of the second."""
    campaign = campaign_of("two-campaigns")
    data = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    data["orders"] = data["orders"][:1]
    alone = make_plan(read(data), Unhurried())
    assert alone.campaigns == []
    told = alone.model_dump(mode="json", by_alias=True) | {"campaigns": _plan().model_dump(mode="json")["campaigns"]}
    assert "A12" in broken_rules(read(data), RunPlan.model_validate(told))


def test_a_label_changes_nothing_but_what_is_told() -> None:
    data = campaign_of("two-campaigns").model_dump(mode="json", by_alias=True, exclude_unset=True)
    del data["tiers"]["replacement pot"]["campaign"]
    without = make_plan(read(data), Unhurried())
    assert without.model_dump(exclude={"campaigns", "audit"}) == _plan().model_dump(exclude={"campaigns", "audit"})


def _two(name: str) -> Campaign:
    """The situation with a third of its first order line's orders as those of another campaign."""
    data = campaign_of(name).model_dump(mode="json", by_alias=True, exclude_unset=True)
    line = data["orders"][0]
    tier = data["tiers"][line["tier"]]
    data["tiers"]["again"] = dict(tier, campaign="The last one")
    others = dict(line, tier="again", count=line["count"] // 3)
    line["count"] -= others["count"]
    data["orders"].append(others)
    data["planning"] = {"rounds": 2, "seed": 1}
    data.pop("wishes", None)
    return read(data)


@pytest.mark.parametrize(
    "name",
    [
        "price-list", "painting", "pad-printing", "overmoulding", "house-abroad", "regrind", "second-supplier",
        "two-tools-for-one-part", "work-in-progress", "resin-price-break", "spares",
    ],
)  # fmt: skip
def test_whatever_a_plan_is_made_of_is_told_apart_and_adds_up(name: str) -> None:
    campaign = _two(name)
    plan = make_plan(campaign, Unhurried())
    first, last = plan.campaigns
    assert audit(campaign, plan).holds
    assert last.campaign == "The last one"
    assert first.total + last.total == pytest.approx(plan.outcome.total)
    assert 0 < last.total < first.total
    for line in plan.costs:
        apart = [one.amount for each in plan.campaigns for one in each.costs if one.what == line.what]
        assert sum(apart) == pytest.approx(line.amount)
    for stuff in plan.materials:
        kg = sum(one.kg for each in plan.campaigns for one in each.materials if one.id == stuff.id)
        assert kg == pytest.approx(stuff.used_kg + stuff.regrind_kg)
    for piece in plan.pieces:
        assert sum(each.pieces.get(piece.id, 0.0) for each in plan.campaigns) == pytest.approx(piece.used)
