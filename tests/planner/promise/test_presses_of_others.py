"""Plans with others' work and with closings: followed, slipped, varied and simulated as they are written."""

from typing import Any

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.campaign.uncertainty import Uncertainty
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import COST, timing_for
from planner.slips.patches import changed
from planner.slips.slip import Slip
from planner.slips.study import POLICIES, Asked, Study
from tests.planner.plan.test_others_work import ACETAL, TUESDAY, document, planned

Json = dict[str, Any]
CASES: dict[str, Json] = {
    "others": document([TUESDAY]),
    "whenever closed": document([{"whenever_closed": True}], press={"hours": {"mon-tue": "06:00-14:00"}}),
    "closings": document([], resins=ACETAL, resin="pom"),
    "both": document([TUESDAY], resins=ACETAL, resin="pom"),
}


@pytest.fixture(scope="module", params=CASES)
def made(request: pytest.FixtureRequest) -> tuple[Campaign, RunPlan]:
    return planned(CASES[request.param])


def test_the_order_of_work_leads_back_to_the_plan(made: tuple[Campaign, RunPlan]) -> None:
    """Followed on a fresh compilation: the same cost to the cent, though a run was broken off."""
    campaign, plan = made
    ours, solution = followed(*compile_campaign(campaign), order_of(plan))
    timing = timing_for(ours)
    objective_of(packed_instance(ours), solution, timing)
    assert timing.totals[COST] == pytest.approx(plan.outcome.total, abs=0.005)


def test_a_slip_is_followed_and_planned_anew(made: tuple[Campaign, RunPlan]) -> None:
    """A tool three days late: both plans are written and audited, and planning anew costs no more."""
    campaign, plan = made
    study = Study(campaign, plan, rounds=1)
    keeps, anew = (study.cell(Asked(Slip("tool", "saucer", 3), policy)) for policy in POLICIES)
    assert keeps.possible
    assert keeps.audited
    assert anew.audited
    assert keeps.cost is not None
    assert anew.cost is not None
    assert anew.cost <= keeps.cost + 0.01


def test_a_variant_in_which_others_come_on_another_day() -> None:
    """What if they came on Monday at ten instead: the press is theirs then, and ours on Tuesday."""
    campaign, _ = planned(CASES["others"])
    patch = {"presses": {"p": {"others": [TUESDAY | {"hours": {"mon": "10:00-12:00"}}]}}}
    other = changed(campaign, patch)
    again = make_plan(other, Unhurried())
    assert audit(other, again).holds
    (told,) = [run.changeover.after_others for run in again.runs if run.changeover and run.changeover.after_others]
    assert f"{told.since:%a %H:%M}" == "Mon 10:00"


def test_a_promise_reckons_with_them(made: tuple[Campaign, RunPlan]) -> None:
    """Hardly anything unsure: every replication is the plan. With the common case no sooner than that in most."""
    campaign, plan = made
    last = max(dispatch.at for dispatch in plan.dispatches).date()
    little = {"tools": {"saucer": {"mount_share": {"early": 0.999, "likely": 1, "late": 1.001}}}}
    sure = campaign.model_copy(update={"uncertainty": Uncertainty.model_validate(little)})
    (tier,) = make_promise(sure, plan, replications=50).tiers
    assert (tier.dates.p50, tier.dates.p95) == (last, last)
    (tier,) = make_promise(campaign, plan, replications=400).tiers
    assert tier.dates.p95 is not None
    assert tier.dates.p95 >= last
