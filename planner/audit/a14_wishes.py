"""A14: each of the maker's wishes stands in the plan, kept or refused, as it truly is, and with a price that can be."""

from planner.audit.case import Case
from planner.audit.figures import MONEY
from planner.audit.findings import Findings
from planner.audit.wishes import anything_of, holds
from planner.plan.document import RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A14 for every wish."""
    notes = Findings("A14")
    wishes, told = case.campaign.wishes, case.plan.wishes
    if wishes or told:
        notes.expect(
            [line.wish for line in told] == [*range(len(wishes))],
            f"the campaign has {len(wishes)} wishes, the plan tells of {[line.wish + 1 for line in told]}",
        )
    for line in told:
        if not 0 <= line.wish < len(wishes):
            continue
        wish, called = wishes[line.wish], f"wish {line.wish + 1} ({line.words})"
        notes.expect(line.kind == wish.kind, f"{called} is one of {wish.kind}, the plan says {line.kind}")
        kept = holds(case, wish)
        notes.expect(
            line.kept == kept, f"{called} is {'kept' if kept else 'not kept'} by these runs, the plan says otherwise"
        )
        notes.expect(
            line.kept != bool(line.because) and (not line.rule or not line.kept),
            f"{called}: what is refused says why, what is kept does not",
        )
        idle = wish.kind != "press free" and not anything_of(case, wish)
        notes.expect(
            line.nothing_to_do == idle, f"{called}: {'nothing' if idle else 'something'} of what it names is moulded"
        )
        notes.expect(
            line.costs is None or (line.kept and 0 <= line.costs <= case.plan.outcome.total + MONEY),
            f"{called}: a price of {line.costs} is none that a wish which is kept can have in this plan",
        )
        notes.expect(
            line.costs_on_average is None or (line.costs is not None and case.plan.outcome.expected is not None),
            f"{called} has a price on average where the plan has no average",
        )
    return notes.verdict(bool(wishes), "wishes")
