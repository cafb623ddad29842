"""The audit: every rule looks at the two documents, none at how the plan was made."""

from planner.audit import (
    a01_fit,
    a02_overlaps,
    a03_there,
    a04_time,
    a05_changeovers,
    a06_forbidden,
    a07_enough,
    a08_flow,
    a09_people,
    a10_parcels,
    a11_kilograms,
    a12_cost,
    a13_mean,
    a14_wishes,
)
from planner.audit.case import Case
from planner.campaign import Campaign
from planner.plan.document import Audit, RunPlan


def audit(campaign: Campaign, plan: RunPlan) -> Audit:
    """Check a plan against its campaign by the rules A1 to A14; nothing is trusted but the two documents."""
    case = Case(campaign, plan)
    rules = [
        a01_fit.check(case),
        a02_overlaps.check(case),
        a03_there.check(case),
        a04_time.check(case),
        a05_changeovers.check(case),
        a06_forbidden.check(case),
        a07_enough.check(case),
        a08_flow.check(case),
        a09_people.check(case),
        a10_parcels.check(case),
        a11_kilograms.check(case),
        a12_cost.check(case),
    ]
    rules += [a13_mean.check(case, all(rule.holds for rule in rules)), a14_wishes.check(case)]
    return Audit(holds=all(rule.holds for rule in rules), rules=rules)
