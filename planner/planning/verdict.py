"""The auditor's verdict: a fault refuses the plan, a wrong word about why it is as it is only costs it that word."""

from collections.abc import Iterator

from planner.audit import audit
from planner.audit.rules import RULES
from planner.campaign import Campaign
from planner.errors import AuditFailed, Problem
from planner.plan.document import Audit, Caution, RunPlan
from planner.spared import Fault

LEFT_OUT = "what binds this plan"
SET_ASIDE = "a first plan that was set aside"
AUDIT = "the audit of this plan"
OURS = "this planner, about itself"
MOST_TOLD = 20
"""Findings of a rule that a refusal tells."""


def audited(campaign: Campaign, plan: RunPlan) -> RunPlan:
    """The plan with the auditor's verdict in it; where only explanations are wrong, without them and with a caution.

    Raises AuditFailed with the rules it breaks.
    """
    verdict = audit(campaign, plan)
    if verdict.holds:
        return plan.model_copy(update={"audit": verdict})
    for plain in unexplained(plan):
        again = audit(campaign, plain)
        if again.holds:
            return plain.model_copy(update={"audit": again, "cautions": [*plain.cautions, _left_out(verdict)]})
    raise AuditFailed([Problem(rule, broken(rule, finding)) for rule, finding in _findings(verdict)])


def unexplained(plan: RunPlan) -> Iterator[RunPlan]:
    """The plan with fewer and fewer explanations: without what binds it, then without what its runs waited for, too."""
    if plan.why is not None:
        yield plan.model_copy(update={"why": None})
    runs = [run.model_copy(update={"waits_for": None}) for run in plan.runs]
    yield plan.model_copy(update={"why": None, "runs": runs})


def left_out(plan: RunPlan) -> Caution | None:
    """The caution that says which part was left out or made anew, and what was wrong with it; none: all were right."""
    return next((said for said in plan.cautions if said.source in (OURS, AUDIT)), None)


def failed_part(fault: Fault) -> Caution:
    """What a plan says of a part that failed through a fault of ours."""
    text = (
        f"This part failed and is left out ({fault.said}). That is our fault, not the campaign's. The plan itself is "
        "whole: its runs, dates and money passed the audit."
    )
    return Caution(about=fault.part, text=text, source=OURS)


def set_aside(failed: AuditFailed) -> Caution:
    """What a plan says that was made anew because the one before it did not pass."""
    found = failed.broken[0]
    text = (
        "The plan that was found first broke a rule of its own audit and was set aside; this one was made from its "
        "parts and passed. It may cost more than it need. That is our fault, not the campaign's. "
        f"{found.message}"
    )
    return Caution(about=SET_ASIDE, text=text, source=OURS)


def retried() -> bool:
    """Whether a plan the auditor refuses is tried again from its parts: always, but while the tests run."""
    return True


def _left_out(verdict: Audit) -> Caution:
    rule, first = _findings(verdict)[0]
    text = (
        "What the planner said of it was found wrong and is left out; the plan itself passed, with its runs, dates and "
        f"money. This is our fault, not the campaign's. {broken(rule, first)}"
    )
    return Caution(about=LEFT_OUT, text=text, source=AUDIT)


def broken(rule: str, finding: str) -> str:
    """The rule in its own line, which other languages have, and the finding as the auditor wrote it, which is data."""
    return f"Rule {rule} does not hold ({RULES[rule]}): {finding}"


def _findings(verdict: Audit) -> list[tuple[str, str]]:
    """(rule, finding)."""
    return [(rule.rule, finding) for rule in verdict.rules if not rule.holds for finding in rule.findings[:MOST_TOLD]]
