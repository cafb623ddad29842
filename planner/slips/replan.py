"""A plan's order of work carried through a change: kept to the letter, or planned anew from where it stands."""

from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork, Told
from planner.control import Control, Progress
from planner.errors import Stopped
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of, warm_start
from planner.planning.make import make_plan, sound, written
from planner.planning.verdict import audited
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import at_once
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.infeasible import NoPlan, refusal
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.search import BOUND_EFFORT, Budget, Found, search
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import COST, timing_for
from planner.slips.near import STEPS, near

ANEW_ROUNDS = 4
"""Search rounds of a quick look at a slip: a variant begins with the same, so that it is never dearer than that."""


def as_found(inst: Instance, solution: Solution, bound: float = 0.0, basis: str = "none was asked for") -> Found | None:
    """A solution that no search found, as what a search ends with; None if it cannot be carried out."""
    timing = timing_for(inst)
    if not allowed(inst, solution):
        return None
    objective = objective_of(packed_instance(inst), solution, timing)
    if objective == float("inf"):
        return None
    return Found(solution, objective, float(timing.totals[COST]), 0, "budget used", bound, basis)


def kept(inst: Instance, names: Names, order: OrderOfWork) -> RunPlan | None:
    """The order of work timed anew and audited; None if it cannot be carried out."""
    ours, solution = followed(inst, names, order)
    found = as_found(ours, solution)
    return None if found is None else audited(names.campaign, written(ours, names, found, told=False))


def planned_anew(
    inst: Instance,
    names: Names,
    order: OrderOfWork,
    control: Control,
    rounds: int | None = None,
    bound_effort: float = BOUND_EFFORT,
) -> RunPlan:
    """Searched from the order of work on and audited: never worse than keeping it. rounds: none, the campaign's budget.
    bound_effort: see Budget.

    Raises Infeasible where it is proven that nothing can be carried out, NoneFound where nothing was found.
    """
    campaign = names.campaign
    plan = campaign.planning
    budget = Budget(plan.rounds if rounds is None else rounds, plan.seed, plan.gap, bound_effort)
    ours, solution = followed(inst, names, order)
    letter = as_found(ours, solution)
    try:
        found = search(inst, budget, control, _sound(inst, warm_start(inst, names, order)))
    except NoPlan as none:
        if letter is None:
            raise refusal(inst, names, none, control) from none
        return sound(ours, names, letter, control)
    if letter is not None and letter.objective < found.objective - 1e-9:
        better = as_found(ours, solution, found.bound, found.bound_basis)
        assert better is not None
        return sound(ours, names, better, control)
    return sound(inst, names, found, control)


def _sound(inst: Instance, start: Solution) -> Solution | None:
    """The start, if it can be carried out at all."""
    return start if as_found(inst, start) is not None else None


def make_plan_from(campaign: Campaign, control: Control) -> RunPlan:
    """Plan a campaign from the order of work it names, near to it where people were told; without one, like any other.

    Raises as `make_plan` does.
    """
    order, told = campaign.planning.begin_from, campaign.planning.told
    if order is None:
        return make_plan(campaign, control)
    if control.should_stop():
        raise Stopped("stopped before a first plan was there")
    control.report(Progress("reading", 0.0))
    inst, names = compile_campaign(campaign)
    if told is not None and (told.moving_a_run or told.moving_a_date):
        made = planned_near(inst, names, order, told, control)
        if made is not None:
            return made
    rounds = campaign.planning.rounds
    if rounds is None or rounds > ANEW_ROUNDS:
        order = order_of(planned_anew(inst, names, order, control, ANEW_ROUNDS, bound_effort=0))
    return planned_anew(inst, names, order, control)


def planned_near(
    inst: Instance, names: Names, order: OrderOfWork, told: Told, control: Control, steps: int = STEPS
) -> RunPlan | None:
    """Searched near to what people were told, and audited; None if that order cannot be carried out at all."""
    ours, solution = followed(inst, names, order)
    best = near(ours, names, solution, told, names.campaign.planning.seed, control, steps)
    if best is None:
        return None
    lowest = at_once(ours, least_changeovers(ours))
    found = as_found(ours, best.solution, lowest.total, lowest.basis)
    assert found is not None
    return sound(ours, names, found, control)
