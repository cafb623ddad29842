"""One call from a campaign to its run plan: searched afresh, or from the order of work that it names, near to it where
people were told. An order of work carried through a change is kept to the letter, or planned anew from where it stands.
"""

from dataclasses import replace

from planner.campaign import Campaign
from planner.campaign.order_of_work import OrderOfWork, Told
from planner.cautions.prices import rising_prices
from planner.cautions.put_together import made_again
from planner.control import Control, Progress
from planner.demand.weight_orders import with_price_breaks
from planner.errors import Stopped
from planner.expected.budgets import first_part
from planner.expected.search import aims_at_the_mean, least_mean
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of, warm_start
from planner.planning.anew import ANEW_ROUNDS
from planner.planning.placed import placed
from planner.planning.proven_before import ProvenBefore, known_of
from planner.planning.verdict import audited
from planner.planning.wished import compiled, priced
from planner.planning.written import AVERAGE, sound, written
from planner.schedule.bounds.press_hours import LowerBound
from planner.schedule.encode import Names
from planner.schedule.encode.announced import with_announced
from planner.schedule.found import Found, as_found
from planner.schedule.infeasible import NoPlan, refusal
from planner.schedule.instance import Instance
from planner.schedule.search import BOUND_EFFORT, Budget, search
from planner.schedule.solution import Solution
from planner.spared import Fault, spare


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
    wished: bool = False,
    known: LowerBound | None = None,
) -> RunPlan:
    """Searched from the order of work on and audited: never worse than keeping it. rounds: none, the campaign's budget.
    bound_effort, known: see Budget. wished: with what its wishes cost.

    Raises Infeasible where it is proven that nothing can be carried out, NoneFound where nothing was found.
    """
    campaign = names.campaign
    plan = campaign.planning
    budget = Budget(plan.rounds if rounds is None else rounds, plan.seed, plan.gap, bound_effort, known=known)
    ours, solution = followed(inst, names, order)
    letter = as_found(ours, solution)
    try:
        found = search(inst, budget, control, _sound(inst, warm_start(inst, names, order)))
    except NoPlan as none:
        if letter is None:
            raise refusal(inst, names, none, control) from none
        return sound(ours, names, letter, control)
    if letter is not None and letter.objective < found.objective - 1e-9:
        inst, found = ours, replace(letter, bound=found.bound, bound_basis=found.bound_basis, aim=found.aim)
    found, worth = priced(inst, names, found, control) if wished else (found, {})
    return sound(inst, names, found, control, worth=worth)


def _sound(inst: Instance, start: Solution) -> Solution | None:
    """The start, if it can be carried out at all."""
    return start if as_found(inst, start) is not None else None


def make_plan(campaign: Campaign, control: Control, before: ProvenBefore | None = None) -> RunPlan:
    """Plan a campaign that passed its cross-checks; the auditor's verdict travels in the plan.

    From the order of work that the campaign names, near to it where people were told; without one, afresh. before: what
    was proven of the campaign by a search that was broken off; one whose plan meets it ends. Raises
    Infeasible with reasons where it is proven that nothing can be carried out, NoneFound where none was found, Stopped
    if asked to stop before a first plan, and AuditFailed where the auditor finds the plan to break a rule.
    """
    if control.should_stop():
        raise Stopped("stopped before a first plan was there")
    control.report(Progress("reading", 0.0))
    plan = _made(campaign, control, before)
    return plan.model_copy(update={"cautions": [*plan.cautions, *rising_prices(campaign), *made_again(campaign)]})


def _made(campaign: Campaign, control: Control, before: ProvenBefore | None) -> RunPlan:
    bound = 0.0
    if campaign.planning.told is None:
        shared, bound = placed(with_price_breaks(campaign), control)
        campaign = campaign.model_copy(update={"planning": shared.planning})
    campaign = with_price_breaks(campaign)  # by what is moulded, whoever of several tools turned out to mould it
    inst, names, start = compiled(campaign, control)
    if bound > inst.several_bound:
        inst = inst._replace(several_bound=bound)
    order, told = campaign.planning.begin_from, campaign.planning.told
    known = known_of(campaign, before)
    if order is None:
        return _afresh(inst, names, control, start, known)
    if told is not None and (told.moving_a_run or told.moving_a_date):
        made = planned_near(inst, names, order, told, control)
        if made is not None:
            return made
    rounds = campaign.planning.rounds
    if rounds is None or rounds > ANEW_ROUNDS:
        order = order_of(planned_anew(inst, names, order, control, ANEW_ROUNDS, 0, known=known))
    if aims_at_the_mean(campaign):
        return _anew_on_average(inst, names, order, control)
    return planned_anew(inst, names, order, control, wished=True, known=known)


def _anew_on_average(inst: Instance, names: Names, order: OrderOfWork, control: Control) -> RunPlan:
    """Searched from the order of work on, for the least cost on average."""
    ours, solution = followed(inst, names, order)
    letter = as_found(ours, solution)
    plan = names.campaign.planning
    try:
        start = _sound(inst, warm_start(inst, names, order))
        found = search(inst, Budget(plan.rounds, plan.seed, plan.gap), first_part(control), start)
    except NoPlan as none:
        if letter is None:
            raise refusal(inst, names, none, control) from none
        return sound(ours, names, letter, control)
    if letter is not None and letter.objective < found.objective - 1e-9:
        found, inst = replace(letter, bound=found.bound, bound_basis=found.bound_basis), ours
    return _on_average(inst, names, found, control)


def _afresh(
    inst: Instance, names: Names, control: Control, start: Solution | None, known: LowerBound | None
) -> RunPlan:
    campaign = names.campaign
    plan = campaign.planning
    mean = aims_at_the_mean(campaign)
    try:
        budget = Budget(plan.rounds, plan.seed, plan.gap, known=known)
        found = search(inst, budget, first_part(control) if mean else control, start)
    except NoPlan as none:
        raise refusal(inst, names, none, control) from none
    if not mean:
        found, worth = priced(inst, names, found, control)
        return sound(inst, names, found, control, worth=worth)
    return _on_average(inst, names, found, control)


def _on_average(inst: Instance, names: Names, found: Found, control: Control) -> RunPlan:
    """From what was found for a certain world to what costs least on average."""
    faults: list[Fault] = []
    chosen = spare(AVERAGE, lambda: least_mean(inst, names, found, control), None, faults)
    found = replace(found, faults=(*found.faults, *faults))
    if chosen is None:
        return sound(inst, names, found, control)
    found = chosen.as_found(found)
    found, worth = priced(inst, names, found, control, chosen)
    return sound(inst, names, found, control, chosen, worth)


def planned_near(inst: Instance, names: Names, order: OrderOfWork, told: Told, control: Control) -> RunPlan | None:
    """Searched with a price on going back on what people were told, and audited; None if that order cannot be carried
    out at all."""
    ours, solution = followed(inst, names, order)
    if as_found(ours, solution) is None:
        return None
    return sound(ours, names, found_near(ours, names, solution, told, control), control)


def found_near(inst: Instance, names: Names, order: Solution, told: Told, control: Control) -> Found:
    """The best order found, counting the price of going back on this one; its own objective is without that price."""
    plan = names.campaign.planning
    budget = Budget(plan.rounds, plan.seed, 0.0)
    found = search(with_announced(inst, names, order, told), budget, control, order)
    own = as_found(inst, found.solution)
    assert own is not None
    return replace(found, objective=own.objective)
