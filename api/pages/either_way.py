"""What the plan page says of a plan's branches: what to do now, and then on each press."""

from api.languages import wording
from planner.plan.averages import Branch, Branches, BranchRun

MOST = 4
"""Runs told of each press after the outcome is known; more stand in the picture."""


def now_lines(told: Branches) -> list[str]:
    """The common runs, in order of time: what is right either way."""
    first = told.branches[0]
    begun = sorted((run for run in first.runs if run.common), key=lambda run: run.begin)
    return [f"{_run(run)} on {run.press}, from {wording.moment(run.begin)}" for run in begun]


def then_lines(branch: Branch) -> list[tuple[str, str]]:
    """(press, its next runs in words), of those that begin after the outcome is known."""
    found: dict[str, list[str]] = {}
    for run in branch.runs:
        if not run.common:
            found.setdefault(run.press, []).append(f"{_run(run)} from {wording.moment(run.begin)}")
    return [(press, _few(runs)) for press, runs in found.items()]


def _few(runs: list[str]) -> str:
    more = f"; and {len(runs) - MOST} more" if len(runs) > MOST else ""
    return "; then ".join(runs[:MOST]) + more


def _run(run: BranchRun) -> str:
    return f"{run.tool} in {' + '.join(melt.rpartition('/')[2] for melt in run.melts)}"
