"""A bound that was proven before of the same campaign: a search that was broken off and goes on elsewhere may not come
as far with its bounds again."""

from dataclasses import dataclass

from planner import __version__
from planner.campaign import Campaign
from planner.errors import AuditFailed
from planner.plan.document import Outcome, RunPlan
from planner.planning.outcome import versions
from planner.planning.verdict import audited, failed_part
from planner.schedule.bounds.avoidable import avoidable_gap, relative_gap
from planner.schedule.bounds.undercut import BOUND, Undercut, dearer
from planner.spared import Fault, overlook


@dataclass(frozen=True)
class ProvenBefore:
    """What was said that no plan of a campaign undercuts, in money and in what it aims at. by: what said it."""

    bound: float
    basis: str
    aim_bound: float | None
    aim_basis: str
    by: dict[str, str]


def provers() -> dict[str, str]:
    """What decides which plans a bound is of: the planner's version and its libraries'."""
    return {"planner": __version__} | versions()


def proven_by(plan: RunPlan) -> ProvenBefore:
    """What a plan made here says that no plan undercuts."""
    said = plan.outcome
    return ProvenBefore(said.lower_bound, said.bound_basis, said.aim_bound, said.aim_basis, provers())


def with_proven(campaign: Campaign, plan: RunPlan, before: ProvenBefore) -> RunPlan:
    """The plan with the bounds that were proven before of its campaign, where those are higher; audited anew.

    Not where another version proved them, nor beside wishes: of which the bound is one depends on which were refused.
    What the plan undercuts is let go and said to be wrong.
    """
    if campaign.wishes or before.by != provers():
        return plan
    if wrong := dearer(before.bound, plan.outcome.total):
        faults: list[Fault] = []
        overlook(BOUND, Undercut(wrong), faults)
        return plan.model_copy(update={"cautions": [*plan.cautions, *map(failed_part, faults)]})
    outcome = _raised(plan.outcome, before)
    if outcome == plan.outcome:
        return plan
    try:
        return audited(campaign, plan.model_copy(update={"outcome": outcome}))
    except AuditFailed:
        return plan  # it passed without


def _raised(outcome: Outcome, before: ProvenBefore) -> Outcome:
    update: dict[str, float | str] = {}
    if before.bound > outcome.lower_bound:
        bound, total = min(before.bound, outcome.total), outcome.total
        update |= {
            "lower_bound": bound,
            "gap": relative_gap(total, bound),
            "avoidable_gap": avoidable_gap(total, bound, total - outcome.avoidable),
            "bound_basis": before.basis,
        }
    value, known = outcome.aim_value, outcome.aim_bound
    if value and known is not None and before.aim_bound is not None and known < before.aim_bound <= value:
        gap = relative_gap(value, before.aim_bound)
        update |= {"aim_bound": before.aim_bound, "aim_gap": gap, "aim_basis": before.aim_basis}
    return outcome.model_copy(update=update) if update else outcome
