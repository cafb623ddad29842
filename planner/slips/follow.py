"""A plan's order of work carried through a change: kept to the letter, or planned anew from where it stands."""

from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork
from planner.control import Control
from planner.errors import Infeasible
from planner.plan.document import RunPlan
from planner.plan.make import audited, written
from planner.plan.order_of_work import followed, warm_start
from planner.schedule.compiled import Names
from planner.schedule.infeasible import reasons
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, Found, NoPlan, search
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import COST, timing_for


def as_found(inst: Instance, solution: Solution, bound: float = 0.0, basis: str = "none was asked for") -> Found | None:
    """A solution that no search found, as what a search ends with; None if it cannot be carried out."""
    timing = timing_for(inst)
    if not allowed(inst, solution):
        return None
    objective = objective_of(tape(inst), solution, timing)
    if objective == float("inf"):
        return None
    return Found(solution, objective, float(timing.totals[COST]), 0, "budget used", bound, basis)


def kept(inst: Instance, names: Names, order: OrderOfWork) -> RunPlan | None:
    """The order of work timed anew and audited; None if it cannot be carried out."""
    ours, solution = followed(inst, names, order)
    found = as_found(ours, solution)
    return None if found is None else audited(names.campaign, written(ours, names, found))


def planned_anew(
    inst: Instance, names: Names, order: OrderOfWork, control: Control, rounds: int | None = None
) -> RunPlan:
    """Searched from the order of work on and audited: never worse than keeping it. rounds: none, the campaign's budget.

    Raises Infeasible where nothing can be carried out.
    """
    campaign = names.campaign
    plan = campaign.planning
    budget = Budget(plan.rounds if rounds is None else rounds, plan.seed, plan.gap)
    ours, solution = followed(inst, names, order)
    letter = as_found(ours, solution)
    try:
        found = search(inst, budget, control, _sound(inst, warm_start(inst, names, order)))
    except NoPlan as none:
        if letter is None:
            raise Infeasible(reasons(inst, names)) from none
        return audited(campaign, written(ours, names, letter))
    if letter is not None and letter.objective < found.objective - 1e-9:
        better = as_found(ours, solution, found.bound, found.bound_basis)
        assert better is not None
        return audited(campaign, written(ours, names, better))
    return audited(campaign, written(inst, names, found))


def _sound(inst: Instance, start: Solution) -> Solution | None:
    """The start, if it can be carried out at all."""
    return start if as_found(inst, start) is not None else None


def plan_of(campaign: Campaign, plan: RunPlan) -> bool:
    """Whether a plan seems to be of that campaign: the same name, currency and zone."""
    return (campaign.name, campaign.currency, campaign.time_zone) == (plan.name, plan.currency, plan.time_zone)
