"""A first plan without a search: what the rules of practice make, timed and audited."""

from planner.campaign import Campaign
from planner.control import Unhurried
from planner.demand.standing import settled
from planner.demand.weight_orders import with_price_breaks
from planner.plan.document import RunPlan
from planner.planning.make import as_found
from planner.planning.shares import shared_out
from planner.planning.verdict import audited
from planner.planning.wished import compiled
from planner.planning.written import written
from planner.schedule.bounds.lower_bound import beforehand
from planner.schedule.construct import first_plans
from planner.schedule.instance import packed_instance
from planner.schedule.timing import timing_for


def plan_by_rule(campaign: Campaign) -> RunPlan | None:
    """The best plan that a rule makes, audited; None where no rule's plan can be carried out.

    A search begins with these plans, so it ends with none that is worse by what is aimed at. Raises Infeasible where
    the campaign is proven to have no plan, and AuditFailed where the auditor finds the plan to break a rule.
    """
    inst, names, _ = compiled(shared_out(with_price_breaks(settled(campaign)), Unhurried()), Unhurried())
    made = first_plans(inst, packed_instance(inst), timing_for(inst))
    lowest = beforehand(inst)
    found = as_found(inst, made[0][1], lowest.total, lowest.basis) if made else None
    return None if found is None else audited(names.campaign, written(inst, names, found, told=False))
