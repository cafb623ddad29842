"""What a little more of something is worth: the same order of work, timed anew with it, and its cost less the plan's.

Why not planned anew: two searches differ by luck too, and a plan is written down in moments. `levers` plan anew.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Bools, Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for
from planner.why.loads import hands_until

HOUR_S = 3600


@dataclass(frozen=True)
class More:
    """kind: press hour, assembler, packer, setter or operator. index: the press; of setters and of those who stay at
    presses one that stands where they are, -1 where all presses stand at one place. hours: added until its last work
    ends. saves: money. sooner_s: by which the last dispatch comes sooner."""

    kind: str
    index: int
    hours: float
    saves: float
    sooner_s: int

    @property
    def per_hour(self) -> float:
        return self.saves / self.hours if self.hours else 0.0


def marginal_values(inst: Instance, solution: Solution, timing: Timing) -> list[More]:
    """An hour more in every stretch of each press, one more assembler and packer, at each place one more setter and one
    more who stays at presses; most saved an hour first."""
    cost, last = float(timing.totals[w.COST]), int(timing.totals[w.LAST])
    found = []
    for kind, index, hours, more in _more_of_something(inst, timing):
        anew = timing_for(more)
        if objective_of(packed_instance(more), solution, anew) < np.inf:
            saves = cost - float(anew.totals[w.COST])
            found.append(More(kind, index, hours, saves, last - int(anew.totals[w.LAST])))
    return sorted(found, key=lambda m: (-round(m.per_hour, 9), -m.sooner_s, m.kind, m.index))


def _more_of_something(inst: Instance, timing: Timing) -> Iterator[tuple[str, int, float, Instance]]:
    for p in range(inst.restart_s.size):
        a, b = int(inst.open_ptr[p]), int(inst.open_ptr[p + 1])
        until = int(timing.lots[timing.lots[:, w.PRESS] == p, w.END].max(initial=0))
        if not until:
            continue
        ends = inst.open_end.copy()
        # an hour more, but never into the next stretch: touching ones would be one
        ends[a:b] = np.minimum(ends[a:b] + HOUR_S, np.append(inst.open_start[a + 1 : b] - 1, NEVER))
        ends = np.maximum(ends, inst.open_end)
        added = (ends - inst.open_end)[a:b][inst.open_start[a:b] < until].sum() / HOUR_S
        if added:
            yield "press hour", p, float(added), inst._replace(open_end=ends, hands_end=_more_hands(inst, ends))
    hours = _open_hours(inst.asm_start, inst.asm_end, timing.jobs)
    yield "assembler", 0, hours, inst._replace(asm_people=inst.asm_people + 1)
    hours = _open_hours(inst.pack_start, inst.pack_end, timing.batches)
    yield "packer", 0, hours, inst._replace(pack_people=inst.pack_people + 1)
    yield from _setters(inst, timing)
    yield from _operators(inst, timing)


def _setters(inst: Instance, timing: Timing) -> Iterator[tuple[str, int, float, Instance]]:
    lots = timing.lots
    changing = lots[:, w.CO_START] != NEVER
    seconds = np.where(changing, lots[:, w.CO_END] - lots[:, w.CO_START], 0)
    if not inst.elsewhere:
        yield "setter", -1, float(seconds.sum()) / HOUR_S / inst.setters, inst._replace(setters=inst.setters + 1)
        return
    for p, there, first, last in _one_more(inst.setter_first, inst.setter_last):
        hours = float(seconds[there[lots[:, w.PRESS]]].sum()) / HOUR_S / int(inst.setter_last[p] - inst.setter_first[p])
        yield "setter", p, hours, inst._replace(setters=inst.setters + 1, setter_first=first, setter_last=last)


def _operators(inst: Instance, timing: Timing) -> Iterator[tuple[str, int, float, Instance]]:
    """Nobody where there are always enough. Hours: what one of today's stays at presses while they mould."""
    if not inst.operators:
        return
    lots, moulded = timing.lots, np.append(0, np.cumsum(timing.pieces[:, w.WORK]))
    seconds = moulded[lots[:, w.FIRST_PIECE] + lots[:, w.PIECES]] - moulded[lots[:, w.FIRST_PIECE]]
    seconds = seconds * inst.run_operators[inst.lot_run[lots[:, w.LOT]]]
    for p, there, first, last in _one_more(inst.operator_first, inst.operator_last):
        staying = int(inst.operator_last[p] - inst.operator_first[p])
        if staying:
            hours = float(seconds[there[lots[:, w.PRESS]]].sum()) / HOUR_S / staying
            more = inst._replace(operators=inst.operators + 1, operator_first=first, operator_last=last)
            yield "operator", -1 if there.all() else p, hours, more


def _one_more(first: Ints, last: Ints) -> Iterator[tuple[int, Bools, Ints, Ints]]:
    """Of each place with a press: its first press, which presses stand there, and the rows of people of all places with
    one more there."""
    for begin in dict.fromkeys(first.tolist()):
        there = first == begin
        yield int(np.argmax(there)), there, first + (first > begin), last + (first >= begin)


def _more_hands(inst: Instance, ends: Ints) -> Ints:
    """Until when somebody is there if they stay as much longer as the press does."""
    return inst.hands_end + (ends - inst.open_end) if inst.hands_end.size else inst.hands_end


def _open_hours(opens: Ints, closes: Ints, steps: Ints) -> float:
    return hands_until(opens, closes, int(steps[:, w.ENDED].max(initial=0))) / HOUR_S
