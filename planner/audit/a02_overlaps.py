"""A2: on a press nothing overlaps, changeovers included; a tool, and a base of several, is in one press at a time."""

from collections import defaultdict
from itertools import pairwise

from planner.audit.bases import base_of
from planner.audit.case import Case, Work
from planner.audit.findings import Findings
from planner.plan.document import RuleVerdict


def check(case: Case) -> RuleVerdict:
    """A2: whole spans of work, from changeover to the last shot, nights within included."""
    notes = Findings("A2")
    tools: dict[tuple[str, str], list[Work]] = defaultdict(list)
    for work in case.works:
        tools[base_of(case.campaign, work.run.tool)].append(work)
        _runs_forward(case, work, notes)
    for press, works in case.by_press.items():
        for before, after in _clashes(works):
            notes.fault(
                f"press `{press}`: {after} begins {case.clock.say(after.begin)}, "
                f"before run {before.run.id} ends {case.clock.say(before.end)}"
            )
    for (what, name), works in tools.items():
        for before, after in _clashes(works):
            if before.run.press != after.run.press:
                notes.fault(
                    f"{what} `{name}` is still on press `{before.run.press}` until {case.clock.say(before.end)} "
                    f"when {after} begins {case.clock.say(after.begin)}"
                )
    return notes.verdict(case.moulding_due, "runs")


def _runs_forward(case: Case, work: Work, notes: Findings) -> None:
    """The pieces of one run follow each other: changeover, then stretches."""
    moments = [work.run.changeover.start, work.run.changeover.end] if work.run.changeover else []
    for stretch in work.run.stretches:
        moments += [stretch.start, stretch.end]
    seconds = [case.clock.second(moment) for moment in (*moments, work.run.end)]
    notes.expect(
        bool(work.run.stretches) and all(a <= b for a, b in pairwise(seconds)),
        f"{work}: its changeover and stretches do not follow one another",
    )


def _clashes(works: list[Work]) -> list[tuple[Work, Work]]:
    """Pairs (earlier, later) in order of start where the later begins before the earlier has ended."""
    found, longest = [], None
    for work in works:
        if longest is not None and work.begin < longest.end:
            found.append((longest, work))
        if longest is None or work.end > longest.end:
            longest = work
    return found
