"""A floor that does not wait: where the next run's tool is not ready, the press takes the first run whose tool is.

One plain rule, as a setter would follow it without planning again; pinned runs keep their places, and so does a press
none of whose tools is later than the plan has it start.
"""

from bisect import bisect_left, bisect_right
from itertools import accumulate

from planner.promise.replications import Rearrange
from planner.schedule import timing as w
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for


class OpenTime:
    """When a press has worked so many seconds from a moment on, by its opening hours alone."""

    def __init__(self, inst: Instance, press: int) -> None:
        own = slice(int(inst.open_ptr[press]), int(inst.open_ptr[press + 1]))
        self.starts: list[int] = inst.open_start[own].tolist()
        self.ends: list[int] = inst.open_end[own].tolist()
        spans = (end - start for start, end in zip(self.starts, self.ends, strict=True))
        self.worked = list(accumulate(spans, initial=0))

    def after(self, moment: int, work: int) -> int:
        k = bisect_right(self.ends, moment)
        if k >= len(self.starts):
            return moment
        goal = self.worked[k] + max(0, moment - self.starts[k]) + work
        k = min(max(0, bisect_left(self.worked, goal) - 1), len(self.starts) - 1)
        return int(self.starts[k] + goal - self.worked[k])


def first_ready(inst: Instance, solution: Solution) -> Rearrange:
    """The rule for an order of work; gives the order for a floor from when each tool is ready there."""
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    lots = [row[:n].tolist() for row, n in zip(solution.seq, solution.length, strict=True)]
    tool_of: list[int] = inst.run_tool[inst.lot_run].tolist()
    hours = [OpenTime(inst, p) for p in range(len(lots))]
    work = [{lot: _work(inst, p, lot) for lot in own} for p, own in enumerate(lots)]
    planned = [{lot: int(timing.lots[lot, w.START]) for lot in own} for own in lots]

    def rearrange(_floor: int, ready: Ints) -> Solution:
        there = ready.tolist()
        order = solution
        for p, own in enumerate(lots):
            if all(there[tool_of[lot]] <= planned[p][lot] for lot in own):
                continue
            if order is solution:
                order = solution.copy()
            order.seq[p, : len(own)] = _taken(own, int(inst.pinned[p]), there, tool_of, hours[p], work[p])
        return order

    return rearrange


def _taken(
    own: list[int], pinned: int, there: list[int], tool_of: list[int], hours: OpenTime, work: dict[int, int]
) -> list[int]:
    """The press's lots in the order in which they are taken."""
    waiting = list(own)
    taken: list[int] = []
    now = 0
    while waiting:
        moments = [there[tool_of[lot]] for lot in waiting]
        n = 0
        if len(taken) >= pinned:
            n = next((n for n, moment in enumerate(moments) if moment <= now), moments.index(min(moments)))
        lot = waiting.pop(n)
        taken.append(lot)
        now = hours.after(max(now, moments[n]), work[lot])
    return taken


def _work(inst: Instance, p: int, lot: int) -> int:
    run = inst.lot_run[lot]
    return int(inst.lot_shots[lot] * inst.shot_num[p, run] // inst.shot_den[p, run])
