"""How long a press is at work on a run."""

from planner.audit.case import Case, Work


def worked_seconds(case: Case, work: Work) -> int:
    """Seconds the press is at work on the run and its changeover."""
    seconds = sum(case.clock.second(s.end) - case.clock.second(s.start) for s in work.run.stretches)
    return seconds + changeover_seconds(case, work)


def changeover_seconds(case: Case, work: Work) -> int:
    """Seconds of the changeover before the run."""
    changeover = work.run.changeover
    return case.clock.second(changeover.end) - case.clock.second(changeover.start) if changeover else 0
