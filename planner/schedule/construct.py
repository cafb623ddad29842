"""First plans, at once: constructive rules from common practice, the best of which starts the search.

Each rule sorts the lots and hands each to the press that would be done with it first; pack batches go by promised day.
On 35 sized campaigns `tool_then_colour` was the best first plan 11 times (4 of 5 on L, where without it the first costs
0.8 % more), `earliest_wanted` once, `colour_then_tool` never: these two gain only one more chance of a plan at all.
"""

from collections.abc import Callable

import numpy as np

from planner.schedule.assign import one_press_each
from planner.schedule.instance import Bools, Instance, Ints
from planner.schedule.rule_of_thumb import rule_of_thumb
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import Timing

Rule = Callable[[Instance], Ints]


def by_promise(inst: Instance) -> Ints:
    """Pack batches by promised day, the dearest to keep waiting first."""
    return np.lexsort((-inst.batch_weight, -inst.batch_late_cost, inst.batch_due)).astype(np.int64)


def first_wanted(inst: Instance) -> Ints:
    """(R) The earliest place in the promise order at which a batch asks for each run's parts."""
    wanted = np.full(inst.run_tool.size, inst.batch_work.size, dtype=np.int64)
    for place, batch in enumerate(by_promise(inst)):
        jobs = range(inst.job_ptr[batch], inst.job_ptr[batch + 1])
        for job in jobs:
            for i in range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1]):
                run = inst.good_run[inst.job_good[i]]
                if run >= 0:
                    wanted[run] = min(wanted[run], place)
    return wanted


def _purge_level(inst: Instance) -> Ints:
    """(M) Melts from easy to cover to hard to clear: mean purge out of them, over the first barrel that knows both."""
    most = inst.purge_kg.max(axis=(0, 1))
    if not most.size:
        return np.empty(0, dtype=np.int64)
    out = most.mean(axis=1) - most.mean(axis=0)
    rank = np.empty(out.size, dtype=np.int64)
    rank[np.argsort(out, kind="stable")] = np.arange(out.size)
    return rank


def _depth(inst: Instance) -> Ints:
    """(R) How many runs have to be done one after the other before each: what is moulded over comes later."""
    depth = np.zeros(inst.run_tool.size, dtype=np.int64)
    follows = inst.follows if inst.wishing else inst.run_after
    for _ in range(depth.size if inst.wishing else 0):
        later = np.where(follows, depth[None, :] + 1, 0).max(axis=1, initial=0)
        if (later <= depth).all():
            break
        depth = np.maximum(depth, later)
    return depth


def tool_then_colour(inst: Instance) -> Ints:
    """Group by tool (the earliest wanted first), then from light to dark."""
    wanted, level = first_wanted(inst), _purge_level(inst)
    tool_wanted = np.full(inst.mount_s.size, inst.batch_work.size, dtype=np.int64)
    np.minimum.at(tool_wanted, inst.run_tool, wanted)
    run = inst.lot_run
    return np.lexsort(
        (run, level[inst.run_melt[run, 0]], inst.run_tool[run], tool_wanted[inst.run_tool[run]], _depth(inst)[run])
    ).astype(np.int64)


def earliest_wanted(inst: Instance) -> Ints:
    """The run whose parts the first promised batch asks for first."""
    run = inst.lot_run
    return np.lexsort((run, inst.run_tool[run], first_wanted(inst)[run], _depth(inst)[run])).astype(np.int64)


def colour_then_tool(inst: Instance) -> Ints:
    """From light to dark over all tools: the fewest purges."""
    run = inst.lot_run
    level = _purge_level(inst)[inst.run_melt[run, 0]]
    return np.lexsort((run, inst.run_tool[run], level, _depth(inst)[run])).astype(np.int64)


RULES: tuple[Rule, ...] = (tool_then_colour, earliest_wanted, colour_then_tool)


def spread(inst: Instance, lots: Ints, fits: Bools) -> Solution | None:
    """Hand each lot to the press that would be done with it first; None where a lot fits no press beside the others.
    fits (P, R): presses each run demand may go to.

    A tool stays on its press where it can. Pinned lots come first where they are pinned.
    """
    solution = Solution.empty(inst)
    solution.order = by_promise(inst)
    presses = inst.restart_s.size
    busy = np.zeros(presses)
    home = np.full(inst.mount_s.size, -1, dtype=np.int64)
    on_press: list[list[int]] = [[] for _ in range(presses)]
    share = np.array(
        [
            (inst.open_end[a:b] - inst.open_start[a:b]).sum() / max(1, inst.open_end[b - 1]) if b > a else 1e-9
            for a, b in zip(inst.open_ptr[:-1], inst.open_ptr[1:], strict=True)
        ]
    )

    def work(p: int, lot: int) -> float:
        run = inst.lot_run[lot]
        seconds = inst.lot_shots[lot] * inst.shot_num[p, run] / inst.shot_den[p, run]
        return float((seconds + (inst.mount_s[inst.run_tool[run]] if home[inst.run_tool[run]] != p else 0)) / share[p])

    def give(p: int, lot: int) -> None:
        busy[p] += work(p, lot)
        home[inst.run_tool[inst.lot_run[lot]]] = p
        on_press[p].append(int(inst.lot_run[lot]))
        solution.append(p, lot)

    lot = 0
    for p in range(presses):
        for _ in range(inst.pinned[p]):
            give(p, lot)
            lot += 1
    for lot in lots:
        if lot < inst.pinned.sum():
            continue
        run = inst.lot_run[lot]
        can = [p for p in range(presses) if fits[p, run] and not inst.clash[run, on_press[p]].any()]
        if not can:
            return None
        give(min(can, key=lambda p: (busy[p] + work(p, int(lot)), p)), int(lot))
    return solution


def first_plans(inst: Instance, arrays: Instance, timing: Timing) -> list[tuple[float, Solution]]:
    """What each rule gives, the rule of thumb among them, best first; only plans that can be carried out."""
    found = []
    by_rule = rule_of_thumb(inst)
    if by_rule is not None and (value := objective_of(arrays, by_rule, timing)) < np.inf:
        found.append((value, by_rule))
    for rule in RULES:
        solution = spread(inst, rule(inst), inst.fits)
        if solution is None:  # forbidden pairs: first decide who goes where
            apart = one_press_each(inst)
            solution = None if apart is None else spread(inst, rule(inst), apart)
        if solution is not None and allowed(inst, solution):
            value = objective_of(arrays, solution, timing)
            if value < np.inf:
                found.append((value, solution))
    return sorted(found, key=lambda pair: pair[0])
