"""What a plan says binds it is audited: no figure, moment or name of it can be changed unseen."""

import re
from functools import lru_cache

import pytest
from pydantic import ValidationError

from benchmarks.generator import sized, small
from planner.audit import a03_there, a04_time, a10_parcels
from planner.audit.case import Case
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from tests.support.assertions import assert_plan_holds, broken_rules
from tests.support.nudges import Path, leaves_of, nudged
from tests.support.sampled import sampled

NOT_AUDITED = re.compile(
    r"why/(.*/)?words|why/worth_basis"  # sentences, made from the audited figures
    r"|why/worth/.*"  # other campaigns, timed anew: the two documents do not hold them
    r"|why/chains/\d+/hours/\d+/what"
    r"|why/chains/\d+/links/\d+/of:(packing|assembly) closed"  # the bench's own name
)


@lru_cache
def made(name: str) -> tuple[Campaign, RunPlan]:
    campaign = sized(name, 1) if name == "XS" else small(int(name))
    planning = campaign.planning.model_copy(update={"rounds": 1})
    return campaign, make_plan(campaign.model_copy(update={"planning": planning}), Unhurried())


def audited(plan: RunPlan) -> list[Path]:
    data = plan.model_dump(mode="json", by_alias=True)
    found = []
    for path in leaves_of(data["why"], ("why",)):
        said = "/".join(map(str, path))
        if path[-1] == "of":
            said += ":" + data["why"]["chains"][path[2]]["links"][path[4]]["kind"]
        if not NOT_AUDITED.fullmatch(said):
            found.append(path)
    return found


def unseen(campaign: Campaign, plan: RunPlan, path: Path) -> bool:
    """Whether neither the document nor one of the rules that speak of it refuses the nudge."""
    try:
        changed = nudged(plan, path)
    except ValidationError:
        return False
    case = Case(campaign, changed)
    return all(check(case).holds for check in (a03_there.check, a04_time.check, a10_parcels.check))


@pytest.mark.parametrize("name", ["9", "15", "24"])
def test_nothing_said_of_why_can_be_nudged(name: str) -> None:
    """Waits, loads and chains: each value changed by the least that matters breaks a rule."""
    campaign, plan = made(name)
    assert_plan_holds(campaign, plan)
    paths = audited(plan)
    assert len(paths) > 60
    assert [path for path in sampled(paths, 3, int(name)) if unseen(campaign, plan, path)] == []


def test_a_chain_that_leaves_a_wait_out_is_caught() -> None:
    """Dropped from the middle, from the end, or a tier without its chain."""
    campaign, plan = made("XS")
    assert_plan_holds(campaign, plan)
    assert plan.why is not None
    for cut in (1, -1):
        data = plan.model_dump(mode="json", by_alias=True)
        links = data["why"]["chains"][0]["links"]
        assert len(links) > 3
        links.pop(cut)
        assert "A10" in broken_rules(campaign, RunPlan.model_validate(data))
    data = plan.model_dump(mode="json", by_alias=True)
    data["why"]["chains"].pop()
    assert "A10" in broken_rules(campaign, RunPlan.model_validate(data))


def test_a_wait_or_a_busy_press_left_out_is_caught() -> None:
    """The lists are whole."""
    campaign, plan = made("XS")
    for part, rule in (("waits", "A3"), ("busy", "A4")):
        data = plan.model_dump(mode="json", by_alias=True)
        assert data["why"][part]
        data["why"][part].pop(0)
        assert rule in broken_rules(campaign, RunPlan.model_validate(data))
        data["why"][part] *= 2
        assert rule in broken_rules(campaign, RunPlan.model_validate(data))


def test_plans_of_old_do_not_say_why() -> None:
    """And hold all the same."""
    campaign, plan = made("XS")
    assert_plan_holds(campaign, plan.model_copy(update={"why": None}))


@pytest.mark.parametrize(("aim", "rate"), [("soonest", None), ("waste", None), ("waste", 2.0)])
def test_what_the_plan_has_of_its_aim_is_audited(aim: str, rate: float | None) -> None:
    """Value, bound and gap: none can be nudged, nor a bound be told above the value."""
    campaign = small(9)
    planning = {"aim": aim, "kg_per_day": rate, "rounds": 1}
    campaign = campaign.model_copy(update={"planning": campaign.planning.model_copy(update=planning)})
    plan = make_plan(campaign, Unhurried())
    assert_plan_holds(campaign, plan)
    for name in ("aim_value", "aim_bound", "aim_gap"):
        assert "A12" in broken_rules(campaign, nudged(plan, ("outcome", name))), name
    outcome = plan.outcome
    assert outcome.aim_value is not None
    above = {"aim_bound": 2 * outcome.aim_value, "aim_gap": -1.0}
    spoilt = plan.model_copy(update={"outcome": outcome.model_copy(update=above)})
    assert "A12" in broken_rules(campaign, spoilt)
