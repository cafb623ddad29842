"""Planning again in plain Python, from the words of RULES.md, S4.3: a slow twin of `expected/again.py`, for tests."""

from typing import Any

import numpy as np

from planner.schedule import timing as w
from planner.schedule.expected.scenarios import FINENESS
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for

EIGHT, FOUR = 8, 4


def begins_of(inst: Instance, timing: Timing) -> list[int]:
    """When each lot begins, its changeover included."""
    lots = timing.lots[: inst.lot_run.size]
    begins = np.minimum(lots[:, w.CO_START], timing.pieces[lots[:, w.FIRST_PIECE], w.OPENED])
    return [int(moment) for moment in begins]


def timed(
    inst: Instance, rows: list[list[int]], service: Ints, release: list[int],
    begin: list[int] | None = None, pinned: list[int] | None = None,
) -> tuple[float, Timing, list[list[int]]]:  # fmt: skip
    """An order of work carried out; objective and timing. begin: presses take what is ready once those moments come."""
    own = inst._replace(
        lot_release=np.array(release, dtype=np.int64), wish_cost=inst.wish_cost,
        likely_begin=np.array([] if begin is None else begin, dtype=np.int64),
        pinned=inst.pinned if pinned is None else np.array(pinned, dtype=np.int64),
    )  # fmt: skip
    plan = Solution.empty(own)
    for p, lots in enumerate(rows):
        for lot in lots:
            plan.append(p, lot)
    plan.order = np.array(service, dtype=np.int64)
    timing = timing_for(own)
    return objective_of(packed_instance(own), plan, timing), timing, plan.lots()


def planned_again(
    inst: Instance, own: Instance, solution: Solution, begin: list[int], arrivals: Ints
) -> tuple[list[list[int]], list[int]]:
    """What each press does in a scenario, and before when each lot does not begin. arrivals (K, T): tools over all."""
    rows, pinned = solution.lots(), inst.pinned.tolist()
    release = inst.lot_release.tolist() or [0] * inst.lot_run.size
    ready = own.tool_ready[own.run_tool[own.lot_run]].tolist()
    clock, at = -1, -1
    for _ in range(EIGHT):
        value, timing, _ = timed(own, rows, solution.order, release)
        if not value < np.inf and not timing.lots[:, w.END].any():
            return rows, release
        begun, ends = begins_of(inst, timing), timing.lots[:, w.END].tolist()
        options: list[tuple[int, int]] = []
        while not options:
            found = []
            for p, lots in enumerate(rows):
                for n in range(pinned[p], len(lots)):
                    lot = lots[n]
                    first = max(ends[lots[n - 1]] if n else 0, begin[lot], release[lot])
                    later = {int(t) for t in own.tool_ready if max(first, clock) < t < ready[lot]}
                    moments = {first} if (first, p) > (clock, at) else later
                    if ready[lot] > first and moments:
                        found.append((min(moments), p, n))
                        break
            if not found:
                return rows, release
            clock, p, place = min(found)
            at = p
            options = [(p, n) for n in range(place + 1, len(rows[p])) if ready[rows[p][n]] <= clock][:FOUR]
            for q, lots in enumerate(rows):
                for n in range(pinned[q], len(lots)):
                    run, there = inst.lot_run[lots[n]], ready[lots[n]] <= clock < begun[lots[n]]
                    meets = inst.clash[run, inst.lot_run[rows[p]]].any()
                    if q != p and there and inst.fits[p, run] and not meets:
                        options.append((q, n))
                        break
        world = believed(inst, own, timing, begun, arrivals, clock)
        values = []
        for option in [None, *options]:
            ways, waits = [list(lots) for lots in rows], list(release)
            if option is not None:
                lot = ways[option[0]].pop(option[1])
                ways[p].insert(place, lot)
            waits[ways[p][place]] = max(waits[ways[p][place]], clock)
            fixed = _fixed(rows, pinned, begun, clock)
            fixed[p] = max(fixed[p], place + 1)
            soonest = [max(moment, clock) for moment in begin]
            values.append((timed(world, ways, solution.order, waits, soonest, fixed)[0], ways, waits))
        best = 0
        for n in range(1, len(values)):
            if values[n][0] < values[best][0] - 1e-6:
                best = n
        if best:
            rows, release = values[best][1:]
    soonest = [max(moment, clock) for moment in begin]
    _, _, rows = timed(own, rows, solution.order, release, soonest, _fixed(rows, pinned, begun, clock))
    return rows, release


def _fixed(rows: list[list[int]], pinned: list[int], begun: list[int], clock: int) -> list[int]:
    """Lots of each press that keep their places: the maker's, and what has begun."""
    return [sum(n < pinned[q] or begun[lot] <= clock for n, lot in enumerate(lots)) for q, lots in enumerate(rows)]


def believed(inst: Instance, own: Instance, timing: Timing, begun: list[int], arrivals: Ints, clock: int) -> Instance:
    """The world as it is believed to be: what has shown itself, and the likely rest."""
    lots = [lot for lot, at in enumerate(begun) if at < clock]
    runs = {int(inst.lot_run[lot]) for lot in lots}
    pairs = {(int(timing.lots[lot, w.PRESS]), int(inst.lot_run[lot])) for lot in lots}
    presses, tools = {p for p, _ in pairs}, {int(inst.run_tool[run]) for run in runs}
    ready = []
    for tool, at in enumerate(own.tool_ready.tolist()):
        later = [int(t) for t in arrivals[:, tool] if t > clock]
        ready.append(at if at <= clock else sum(later) // len(later))
    num, startup = own.shot_num.copy(), own.startup_s.copy()
    finer = FINENESS if (own.shot_den != inst.shot_den).any() else 1
    for p in range(num.shape[0]):
        for run in range(num.shape[1]):
            if (p, run) not in pairs:
                num[p, run], startup[p, run] = inst.shot_num[p, run] * finer, inst.startup_s[p, run]
    out: dict[str, Any] = {
        "tool_ready": np.array(ready, dtype=np.int64), "shot_num": num, "startup_s": startup,
        "lot_shots": np.where(np.isin(inst.lot_run, list(runs)), own.lot_shots, inst.lot_shots),
        "good_count_shots": np.where(np.isin(inst.good_run, list(runs)), own.good_count_shots, inst.good_count_shots),
        "job_work": inst.job_work, "batch_work": inst.batch_work, "pickup_day": inst.pickup_day,
    }  # fmt: skip
    for name in ("supply_t", "piece_t"):
        there, planned = getattr(own, name), getattr(inst, name)
        out[name] = np.where(there <= clock, there, np.maximum(planned, clock))
    for name in ("mount_s", "insert_s"):
        if getattr(own, name).size:
            known = np.isin(np.arange(inst.tool_ready.size), list(tools))
            out[name] = np.where(known, getattr(own, name), getattr(inst, name))
    for name in ("purge_s", "hot_s", "compound_s", "hot_compound_s"):
        if getattr(own, name).size:
            known = np.isin(np.arange(inst.restart_s.size), list(presses))[:, None, None, None]
            out[name] = np.where(known, getattr(own, name), getattr(inst, name))
    return own._replace(**out)


def in_its_way(
    own: Instance, rows: list[list[int]], release: list[int], solution: Solution
) -> tuple[Instance, Solution]:
    """The scenario in which lots wait as they do there, and the order in which they are worked."""
    plan = Solution.empty(own)
    for p, lots in enumerate(rows):
        for lot in lots:
            plan.append(p, lot)
    plan.order = solution.order.copy()
    return own._replace(lot_release=np.array(release, dtype=np.int64)), plan
