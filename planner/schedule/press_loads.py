"""Which lot runs on which press in what order so that the last press ends soonest: lots moved and exchanged between all
presses, with what each changeover and each lot takes laid out beforehand.

Why: where the last dispatch is the aim, most moves change nothing of it, and a full timing that finds that out costs as
much as a hundred such moves. Priced by tables, with the ends of all presses weighed in a little, a core looks at a
million moves a second. Setters, tools that two presses want, material and benches are left to the exact evaluator.
"""

import math
from typing import NamedTuple

from planner.schedule.delta_estimate import enter, held, to_wall, to_working
from planner.schedule.delta_tables import DeltaTables
from planner.schedule.instance import Floats, Instance
from planner.schedule.jit import entry, inner
from planner.schedule.rng import State, below, uniform
from planner.schedule.sequences import Sequences, copy_press, copy_presses

OTHERS = 0.5
"""What the ends of all presses weigh against that of the last: the sum of their squares over (presses x the last end at
the beginning). I_50_10_S_1-9_1 (50 jobs on 10 machines, best known of its source 67), 20 million moves, two seeds: with
0.3 65 and 66, with 1 66 and 67; 6 million moves, four seeds: 0.2 65 to 67, 5 always 67; without any of it 66 to 71."""

LAST_PRESS = 0.3
"""Of the moves, those that begin with the press that ends last."""

EXCHANGES = 0.5
"""Of the moves, those that exchange two lots; the others put one elsewhere."""

VALUES = 4
HERE, BEST, SCALE, LATEST = range(VALUES)
"""Where it stands, the best it has seen, presses x the last end at the beginning; and the last end of the best."""


class PressLoads(NamedTuple):
    """J lots on P presses; index J: before the first of a press."""

    seconds: Floats  # (P, J + 1, J) of the changeover from one lot to another
    release: Floats  # (P, J) working seconds before which a lot cannot begin
    here: Sequences  # where it stands
    best: Sequences  # the best it has seen
    trial: Sequences  # the neighbour it looks at
    ends: Floats  # (P) when each press ends, where it stands
    values: Floats  # (VALUES)


@entry
def lay_out(inst: Instance, plan: Sequences, delta: DeltaTables, o: PressLoads) -> None:
    """Fill the tables in, with hot runners and barrels that a tool leaves alone as the plan has them; begin with the
    plan's own order. delta: of the plan."""
    presses, lots = o.release.shape
    for p in range(presses):
        for behind in range(lots + 1):
            tool, melt, melt_2 = held(inst, delta, p, -1 if behind == lots else behind)
            for lot in range(lots):
                run = inst.lot_run[lot]
                if inst.fits[p, run]:
                    o.seconds[p, behind, lot] = enter(inst, delta, p, run, tool, melt, melt_2)[0]
        for lot in range(lots):
            ready = inst.tool_ready[inst.run_tool[inst.lot_run[lot]]]
            o.release[p, lot] = to_working(delta, p, float(ready)) if ready > 0 else 0.0
    copy_presses(o.here, plan)
    copy_presses(o.best, plan)
    copy_presses(o.trial, plan)
    last = 0.0
    for p in range(presses):
        o.ends[p] = _end(o, delta, plan, p)
        last = max(last, o.ends[p])
    o.values[SCALE] = presses * max(last, 1.0)
    o.values[HERE] = o.values[BEST] = _weighed(o, -1, -1, 0.0, 0.0)
    o.values[LATEST] = last


@entry
def even_out(inst: Instance, delta: DeltaTables, o: PressLoads, moves: int, hot: float, cold: float, rng: State) -> int:
    """So many moves from temperature `hot` to `cold` (seconds); how often the best was improved."""
    presses = o.ends.size
    fall = math.log(cold / hot)
    improved = 0
    for n in range(moves):
        heat = hot * math.exp(fall * n / moves)
        p, q = below(rng, presses), below(rng, presses)
        if uniform(rng) < LAST_PRESS:
            for other in range(presses):
                if o.ends[other] > o.ends[p]:
                    p = other
        if not _moved(inst, o, p, q, rng):
            continue
        one, other_end = _end(o, delta, o.trial, p), 0.0
        if q != p:
            other_end = _end(o, delta, o.trial, q)
        value = _weighed(o, p, q, one, other_end)
        if value > o.values[HERE] - heat * math.log(1.0 - uniform(rng)):
            copy_press(o.trial, o.here, p)
            copy_press(o.trial, o.here, q)
            continue
        copy_press(o.here, o.trial, p)
        copy_press(o.here, o.trial, q)
        o.ends[p] = one
        if q != p:
            o.ends[q] = other_end
        o.values[HERE] = value
        last = 0.0
        for other in range(presses):
            last = max(last, o.ends[other])
        if last < o.values[LATEST] - 0.5 or (last <= o.values[LATEST] and value < o.values[BEST] - 1e-9):
            o.values[LATEST], o.values[BEST] = last, value
            copy_presses(o.best, o.here)
            improved += 1
    return improved


@inner
def _end(o: PressLoads, delta: DeltaTables, plan: Sequences, p: int) -> float:
    """When press p ends, s."""
    x = 0.0
    behind = o.release.shape[1]
    for n in range(plan.length[p]):
        lot = plan.seq[p, n]
        x = max(x, o.release[p, lot]) + o.seconds[p, behind, lot] + delta.work[p, lot]
        behind = lot
    return to_wall(delta, p, x) if plan.length[p] > 0 else 0.0


@inner
def _weighed(o: PressLoads, p: int, q: int, one: float, other: float) -> float:
    """The last end, with the ends of all presses weighed in; those of presses p and q are `one` and `other`."""
    last = squares = 0.0
    for press in range(o.ends.size):
        end = o.ends[press]
        if press == p:
            end = one
        elif press == q:
            end = other
        last = max(last, end)
        squares += end * end
    return float(last + OTHERS * squares / o.values[SCALE])


@inner
def _moved(inst: Instance, o: PressLoads, p: int, q: int, rng: State) -> bool:
    """Put a lot of press p of the trial on press q, or exchange it for one there; whether anything changed."""
    seq, length, pinned = o.trial.seq, o.trial.length, inst.pinned
    if length[p] <= pinned[p]:
        return False
    a = pinned[p] + below(rng, length[p] - pinned[p])
    lot = seq[p, a]
    if not inst.fits[q, inst.lot_run[lot]]:
        return False
    if uniform(rng) < EXCHANGES:
        if length[q] <= pinned[q]:
            return False
        b = pinned[q] + below(rng, length[q] - pinned[q])
        other = seq[q, b]
        if other == lot or not inst.fits[p, inst.lot_run[other]]:
            return False
        seq[p, a], seq[q, b] = other, lot
        return True
    for n in range(a, length[p] - 1):
        seq[p, n] = seq[p, n + 1]
    length[p] -= 1
    at = pinned[q] + below(rng, length[q] - pinned[q] + 1)
    for n in range(length[q], at, -1):
        seq[q, n] = seq[q, n - 1]
    seq[q, at] = lot
    length[q] += 1
    return True
