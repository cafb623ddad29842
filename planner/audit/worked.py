"""How long a press is at work on a run."""

from planner.audit.case import Case, Work, closing_of
from planner.audit.places import who_stay


def worked_seconds(case: Case, work: Work) -> int:
    """Seconds the press is at work on the run and its changeover."""
    seconds = sum(case.clock.second(s.end) - case.clock.second(s.start) for s in work.run.stretches)
    return seconds + changeover_seconds(case, work)


def moulding_seconds(case: Case, work: Work) -> int:
    """Seconds of production, restarts and closings taken off."""
    found = 0
    for stretch in work.run.stretches:
        found += case.clock.second(stretch.end) - case.clock.second(stretch.start)
        found -= stretch.restart_seconds + closing_of(stretch)
    return found


def staying_money(case: Case, work: Work) -> float:
    """Money for those who stay at the press while a run is moulded."""
    rate = who_stay(case.campaign, work.press)[1]
    return moulding_seconds(case, work) / 3600 * work.tool.operators * rate


def changeover_seconds(case: Case, work: Work) -> int:
    """Seconds of the changeover before the run."""
    changeover = work.run.changeover
    return case.clock.second(changeover.end) - case.clock.second(changeover.start) if changeover else 0
