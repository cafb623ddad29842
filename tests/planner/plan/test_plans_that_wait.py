"""A plan that waits on purpose (RULES.md, R20) when it is followed: slips, the floor's log, what binds it."""

from datetime import datetime

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.plan.order_of_work import order_of
from planner.planning.make import kept
from planner.planning.verdict import left_out
from planner.schedule.encode import compile_campaign
from planner.slips.slip import Slip, slipped
from tests.planner.plan.test_cases import case, planned


def test_a_wait_for_an_opening_that_is_gone_is_dropped() -> None:
    """The press opens half an hour earlier: nothing opens at the old moment any more, so the run begins at once."""
    campaign, plan = case("wrong_bound_delay"), planned("wrong_bound_delay")
    hours = {"hours": {"mon-fri": "07:30-16:00"}}
    inst, names = compile_campaign(
        campaign.model_copy(update={"presses": {"p": campaign.presses["p"].model_copy(update=hours)}})
    )
    again = kept(inst, names, order_of(plan))
    assert again is not None
    assert left_out(again) is None
    assert again.runs[0].not_before is None
    assert again.runs[0].start < plan.runs[0].start


def test_what_is_left_waits_as_planned_until_it_has_begun() -> None:
    """A log of nothing but the hour: planned on from there the run still waits for its opening; a day later it has not
    to wait any more."""
    campaign, plan = case("wrong_bound_delay"), planned("wrong_bound_delay")
    for hour, waits in ((datetime(2027, 1, 11, 15), True), (datetime(2027, 1, 12, 9), False)):
        now = from_here(campaign, plan, Actuals(as_of=hour, entries=[])).campaign
        inst, names = compile_campaign(now)
        again = kept(inst, names, order_of(plan))
        assert again is not None
        assert left_out(again) is None
        assert (again.runs[0].not_before == plan.runs[0].not_before) == waits


def test_a_slip_beyond_the_opening_leaves_nothing_to_wait_for() -> None:
    """RULES.md, S2: the order of work timed anew; the tool comes after the opening, so the run waits for the tool."""
    campaign, plan = case("wrong_bound_delay"), planned("wrong_bound_delay")
    late = slipped(campaign, Slip("tool", "t", 2))
    inst, names = compile_campaign(late)
    again = kept(inst, names, order_of(plan))
    assert again is not None
    assert left_out(again) is None
    assert again.runs[0].not_before is None
    assert again.runs[0].start > plan.runs[0].start


def test_what_binds_a_plan_that_waits_is_told() -> None:
    plan = planned("wrong_bound_delay")
    assert left_out(plan) is None
    assert plan.why is not None
    assert [(wait.run, wait.waited_for) for wait in plan.why.waits] == [(plan.runs[0].id, "press hours")]
