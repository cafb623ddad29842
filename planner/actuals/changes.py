"""What planning again changed, and why: a list a maker can read out."""

from datetime import datetime

from pydantic import Field

from planner.plan.document import PlanPart, Run, RunPlan
from planner.plan.phrases import days
from planner.slips.compare import compare
from planner.slips.document import Comparison, RunChange
from planner.wording import short_moment


class Changes(PlanPart):
    """What changed from the plan before to the plan now, from the moment the floor was looked at."""

    words: list[str] = Field(description="one change a line, with its reason where one is known")
    taken_for_granted: list[str] = Field(description="what the floor's log did not say, and what was assumed")
    kept_runs: int = Field(description="runs that stand where they were")
    comparison: Comparison


def what_changed(before: RunPlan, after: RunPlan, notes: list[str]) -> Changes:
    """Compare what was left of the plan before with the plan now."""
    left = remaining(before, after.start)
    comparison = compare(left, after)
    starts = {(run.tool, tuple(run.melts), run.start): run for run in after.runs}
    words = []
    for tier in comparison.tiers:
        if tier.days:
            late = f", {days(tier.days_late)} late" if tier.days_late else ""
            moved = f"{days(abs(tier.days))} {'later' if tier.days > 0 else 'earlier'}"
            words.append(f"{tier.tier}: the last parcel leaves {moved} ({tier.after}{late})")
    words += [_run_words(change, starts) for change in comparison.runs]
    moved_runs = sum(change.what not in ("gone", "new") for change in comparison.runs)
    kept = comparison.runs_before - moved_runs - sum(change.what == "gone" for change in comparison.runs)
    return Changes(words=words, taken_for_granted=notes, kept_runs=max(0, kept), comparison=comparison)


def remaining(plan: RunPlan, since: datetime) -> RunPlan:
    """The plan without what was over by then; a run under way keeps its name and counts from that moment."""
    runs = []
    for run in plan.runs:
        if run.end <= since:
            continue
        shots = sum(s.shots for s in run.stretches if s.end > since)
        runs.append(run if run.start >= since else run.model_copy(update={"start": since, "shots": shots}))
    return plan.model_copy(update={"runs": runs})


def _run_words(change: RunChange, starts: dict[tuple[str, tuple[str, ...], datetime], Run]) -> str:
    name = f"{change.tool} in {' + '.join(change.melts)}"
    if change.what == "gone":
        return f"{name}: no longer needed on press {change.press_before}"
    assert change.start_after is not None
    run = starts.get((change.tool, tuple(change.melts), change.start_after))
    why = f": waits for {run.waits_for}" if run is not None and run.waits_for else ""
    start = short_moment(change.start_after)
    if change.what == "new":
        return f"{name}: {change.shots_after} shots come in on press {change.press_after} from {start}{why}"
    if change.what == "another press":
        return f"{name}: from press {change.press_before} to press {change.press_after}, from {start}{why}"
    if change.what == "other shots":
        return f"{name}: {change.shots_after} shots instead of {change.shots_before} on press {change.press_after}"
    hours = abs(change.hours or 0.0)
    span = f"{hours / 24:.1f} days" if hours >= 48 else f"{hours:.0f} hours"
    moved = f"starts {span} {'later' if (change.hours or 0) > 0 else 'earlier'}, {start}"
    if change.what == "another place in the order":
        return f"{name}: another place in the order of press {change.press_after}; {moved}{why}"
    return f"{name}: {moved}{why}"
