"""A first plan without a search: what the rules of practice make, timed and audited."""

from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.items import sharings
from planner.demand.standing import settled
from planner.demand.weight_orders import with_price_breaks
from planner.plan.document import RunPlan
from planner.planning.verdict import audited
from planner.planning.written import written
from planner.schedule.bounds.press_hours import beforehand
from planner.schedule.construct import first_plans
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.found import as_found
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.timing import timing_for


def plan_by_rule(campaign: Campaign) -> RunPlan | None:
    """The best plan that a rule makes, audited; None where no rule's plan can be carried out.

    A search begins with these plans, so it ends with none that is worse by what is aimed at. Raises Infeasible where
    the campaign is proven to have no plan, and AuditFailed where the auditor finds the plan to break a rule.
    """
    inst, names = _compiled(with_price_breaks(settled(campaign)))
    made = first_plans(inst, packed_instance(inst), timing_for(inst))
    lowest = beforehand(inst)
    found = as_found(inst, made[0][1], lowest.total, lowest.basis) if made else None
    return None if found is None else audited(names.campaign, written(inst, names, found, told=False))


def _compiled(campaign: Campaign) -> tuple[Instance, Names]:
    """Without wishes, and without work that several tools may share, nothing has to be looked for first."""
    if not campaign.wishes and not sharings(campaign):
        return compile_campaign(campaign)
    # Here: these look by searching, which takes as long to load as the plan by rule to be made.
    from planner.planning.shares import shared_out
    from planner.planning.wished import compiled

    return compiled(shared_out(campaign, Unhurried()), Unhurried())[:2]
