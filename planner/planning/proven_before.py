"""A bound that was proven before of the same campaign: a search that was broken off and goes on elsewhere may not come
as far with its bounds again."""

from dataclasses import dataclass

from planner import __version__
from planner.campaign import Campaign
from planner.errors import AuditFailed
from planner.expected.search import aims_at_the_mean
from planner.plan.document import Outcome, RunPlan
from planner.planning.outcome import versions
from planner.planning.verdict import audited, failed_part
from planner.schedule.bounds.avoidable import avoidable_gap, relative_gap
from planner.schedule.bounds.objective_gap import DAY_S
from planner.schedule.bounds.press_hours import LowerBound
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


def known_of(campaign: Campaign, before: ProvenBefore | None) -> LowerBound | None:
    """What a search of the campaign may begin with, of what was proven before; None where nothing holds of its plans.

    A search whose plan meets it then ends at once. One for the least cost on average has bounds of its own.
    """
    if before is None or not _of_the_same(campaign, before) or aims_at_the_mean(campaign):
        return None
    last_s = 0
    if campaign.planning.aim == "soonest" and before.aim_bound is not None:
        last_s = round(before.aim_bound * DAY_S)
    return LowerBound(0.0, 0.0, before.bound, before.basis, last_s=last_s, last_basis=before.aim_basis)


def with_proven(campaign: Campaign, plan: RunPlan, before: ProvenBefore) -> RunPlan:
    """The plan with the bounds that were proven before of its campaign, where those are higher; audited anew.

    What the plan undercuts is let go and said to be wrong, unless its search has done so.
    """
    if not _of_the_same(campaign, before) or any(caution.about == BOUND for caution in plan.cautions):
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


def _of_the_same(campaign: Campaign, before: ProvenBefore) -> bool:
    """Whether it was proven of the plans that are looked at now: not by another version, nor beside wishes, where it
    depends on which were refused."""
    return not campaign.wishes and before.by == provers()


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
