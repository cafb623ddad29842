"""Two plans side by side: dates by tier, money, purge, hours, and which runs moved."""

from bisect import bisect_left
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime
from math import fsum

from planner.plan.document import RunPlan
from planner.slips.document import Comparison, LineChange, RunChange, TierChange
from planner.slips.words import comparison_words

NOTICED_S = 3600
"""A run that starts less than an hour off stands where it was."""


@dataclass(frozen=True)
class Block:
    """Runs of one tool in the same melts that follow each other on a press: to the moulder, one run."""

    press: str
    tool: str
    melts: tuple[str, ...]
    shots: int
    start: datetime


def blocks(plan: RunPlan) -> list[Block]:
    """The runs of a plan, neighbours alike joined, in order of start."""
    found: list[Block] = []
    for run in sorted(plan.runs, key=lambda r: (r.press, r.start)):
        last = found[-1] if found else None
        if last and (last.press, last.tool, last.melts) == (run.press, run.tool, tuple(run.melts)):
            found[-1] = replace(last, shots=last.shots + run.shots)
        else:
            found.append(Block(run.press, run.tool, tuple(run.melts), run.shots, run.start))
    return sorted(found, key=lambda b: (b.start, b.press))


def compare(before: RunPlan, after: RunPlan) -> Comparison:
    """The second plan seen from the first; also where the campaigns behind them differ."""
    tiers = tier_changes(before, after)
    runs = run_changes(before, after)
    lines = {line.what: line.amount for line in before.costs}
    return Comparison(
        cost_before=before.outcome.total,
        cost_after=after.outcome.total,
        cost_lines=[LineChange(what=x.what, before=lines.get(x.what, 0.0), after=x.amount) for x in after.costs],
        purge_kg_before=before.purge_kg,
        purge_kg_after=after.purge_kg,
        press_hours_before=press_hours(before),
        press_hours_after=press_hours(after),
        bench_hours_before=bench_hours(before),
        bench_hours_after=bench_hours(after),
        tiers=tiers,
        runs=runs,
        runs_before=len(blocks(before)),
        words=comparison_words(before, after, tiers, runs),
    )


def tier_changes(before: RunPlan, after: RunPlan) -> list[TierChange]:
    """Each tier of either plan, in the order of the first."""
    was, now = ({t.tier: t for t in plan.tiers} for plan in (before, after))
    changes = []
    for tier in dict.fromkeys([*was, *now]):
        old = was[tier].last_dispatch.date() if tier in was else None
        new = now[tier].last_dispatch.date() if tier in now else None
        said = now.get(tier) or was[tier]
        changes.append(
            TierChange(
                tier=tier,
                before=old,
                after=new,
                days=(new - old).days if old and new else 0,
                promised=said.promised,
                days_late=now[tier].days_late if tier in now else 0,
            )
        )
    return changes


def run_changes(before: RunPlan, after: RunPlan) -> list[RunChange]:
    """Runs that are new, gone, on another press, elsewhere in the order of their press, or an hour or more off."""
    pairs = matched(before, after)
    stay = {id(new) for press in {r.press for r in after.runs} for new in _in_order(press, pairs)}
    changes = [_change(old, new, id(new) in stay) for old, new in pairs]
    return [change for change in changes if change is not None]


def matched(before: RunPlan, after: RunPlan) -> list[tuple[Block | None, Block | None]]:
    """The runs of two plans in pairs: of one tool and its melts, on one press first, then from press to press."""
    old, new = blocks(before), blocks(after)
    pairs: list[tuple[Block | None, Block | None]] = []
    for same_press in (True, False):
        waiting: dict[tuple[str, ...], list[Block]] = defaultdict(list)
        for run in old:
            waiting[(run.press if same_press else "", run.tool, *run.melts)].append(run)
        left = []
        for run in new:
            alike = waiting[(run.press if same_press else "", run.tool, *run.melts)]
            if alike:
                pairs.append((alike.pop(0), run))
            else:
                left.append(run)
        new = left
        old = [run for alike in waiting.values() for run in alike]
    return pairs + [(run, None) for run in old] + [(None, run) for run in new]


def _in_order(press: str, pairs: list[tuple[Block | None, Block | None]]) -> list[Block]:
    """The most runs of a press that still follow one another as before (longest increasing subsequence)."""
    both = [(a.start, b) for a, b in pairs if a is not None and b is not None and a.press == b.press == press]
    both.sort(key=lambda pair: pair[1].start)
    ends: list[tuple[datetime, int]] = []  # of the shortest chains: when their last run started before, and which
    came_from: list[int] = []
    for n, (start, _) in enumerate(both):
        place = bisect_left(ends, (start, -1))
        came_from.append(ends[place - 1][1] if place else -1)
        ends[place : place + 1] = [(start, n)]
    chain = []
    n = ends[-1][1] if ends else -1
    while n >= 0:
        chain.append(both[n][1])
        n = came_from[n]
    return chain


def _change(old: Block | None, new: Block | None, same_place: bool) -> RunChange | None:
    some = new or old
    assert some is not None
    seconds = None if old is None or new is None else new.start.timestamp() - old.start.timestamp()
    if old is None:
        what = "new"
    elif new is None:
        what = "gone"
    elif old.press != new.press:
        what = "another press"
    elif not same_place:
        what = "another place in the order"
    elif seconds is not None and abs(seconds) >= NOTICED_S:
        what = "later" if seconds > 0 else "earlier"
    elif old.shots != new.shots:
        what = "other shots"
    else:
        return None
    return RunChange.model_validate(
        {
            "tool": some.tool,
            "melts": list(some.melts),
            "what": what,
            "press_before": old.press if old else None,
            "press_after": new.press if new else None,
            "start_before": old.start if old else None,
            "start_after": new.start if new else None,
            "hours": None if seconds is None else round(seconds / 3600, 2),
            "shots_before": old.shots if old else 0,
            "shots_after": new.shots if new else 0,
        }
    )


def runs_moved(changes: list[RunChange]) -> int:
    """Runs whose press or place changed: what a moulder who was told the order would notice."""
    return sum(c.what in ("new", "gone", "another press", "another place in the order") for c in changes)


def press_hours(plan: RunPlan) -> float:
    """Hours presses work: changeovers and runs with their restarts."""
    spans = [(s.start, s.end) for run in plan.runs for s in run.stretches]
    spans += [(run.changeover.start, run.changeover.end) for run in plan.runs if run.changeover]
    return fsum(end.timestamp() - start.timestamp() for start, end in spans) / 3600


def bench_hours(plan: RunPlan) -> float:
    """Person-hours at the benches."""
    return fsum([*(a.person_minutes for a in plan.assembly), *(b.person_minutes for b in plan.batches)]) / 60


def waste_kg(plan: RunPlan) -> float:
    """Purge and start-up material, kg."""
    return fsum(m.purge_kg + m.startup_kg for m in plan.materials)
