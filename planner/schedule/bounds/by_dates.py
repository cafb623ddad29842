"""What there is by each of a few pick-ups: hours of tools and benches, room in vans, pieces; what late batches cost.

Why: the linear programme (`pickup_lp`) and the one in whole numbers (`dated_paths`) say the same of them.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.schedule.bounds.earliest import Earliest
from planner.schedule.instance import Floats, Instance, Ints

MOST_DATES = 10
"""Pick-ups looked at: more make a programme larger and its value a little higher."""

BEYOND = 1.25
"""How far after the last promise dates go, as a multiple of the time to it: what is later counts as that late."""


@dataclass(frozen=True)
class Dates:
    """The pick-ups looked at: their moments, and the first day on which what misses each could leave."""

    moments: Ints
    missed_day: Ints


def dates(inst: Instance, earliest: Earliest) -> Dates:
    """A few pick-ups, evenly spread, from the first at which something could be late to well after the last promise."""
    promised = inst.batch_due[(inst.batch_late_cost > 0) & (inst.batch_due <= inst.pickup_day[-1])]
    if not promised.size:
        return Dates(inst.pickup_t[:0], inst.pickup_day[:0])
    first = max(int(earliest.pickup.min()), int(np.searchsorted(inst.pickup_day, promised.min(), side="right")) - 1)
    until = inst.pickup_t[int(np.searchsorted(inst.pickup_day, promised.max()))] * BEYOND
    last = max(first, int(np.searchsorted(inst.pickup_t, until, side="right")) - 1)
    chosen = np.unique(np.linspace(first, last, min(MOST_DATES, last - first + 1)).round().astype(int))
    following = np.minimum(chosen + 1, inst.pickup_t.size - 1)
    return Dates(inst.pickup_t[chosen], inst.pickup_day[following])


def lateness(inst: Instance, earliest: Earliest, at: Dates, batch: int) -> Floats:
    """(T + 1) money at the least where a batch is sent by each date but by none before, and after the last of them."""
    days = np.maximum(0, at.missed_day - inst.batch_due[batch])
    first = max(0, int(inst.pickup_day[earliest.pickup[batch]]) - int(inst.batch_due[batch]))
    money: Floats = np.concatenate([[first], np.maximum(days, first)]) * float(inst.batch_late_cost[batch])
    return money


def tool_seconds(inst: Instance, tool: int, presses: list[int], moments: list[int]) -> list[int]:
    """By each moment, seconds since the tool is ready in which any of these presses is open."""
    spans = sorted(
        (max(int(inst.open_start[k]), int(inst.tool_ready[tool])), int(inst.open_end[k]))
        for p in presses
        for k in range(int(inst.open_ptr[p]), int(inst.open_ptr[p + 1]))
    )
    found = []
    for moment in moments:
        most, reached = 0, 0
        for opens, closes in spans:
            if opens >= moment:
                break
            end = min(closes, moment)
            most += max(0, end - max(opens, reached))
            reached = max(reached, end)
        found.append(most)
    return found


def shared(inst: Instance, earliest: Earliest, at: Dates) -> Iterator[tuple[list[float], list[int]]]:
    """What all batches share, assembly, packing, pick-ups: by each date how much there is, and what each takes."""
    work = [int(inst.job_work[inst.job_ptr[b] : inst.job_ptr[b + 1]].sum()) for b in range(inst.batch_work.size)]
    for opens, closes, people, begins, each in (
        (inst.asm_start, inst.asm_end, inst.asm_people, earliest.assembly_begins, work),
        (inst.pack_start, inst.pack_end, inst.pack_people, earliest.packing_begins, inst.batch_work.tolist()),
    ):
        opened = np.maximum(opens, begins)
        there = [float((np.clip(np.minimum(closes, m) - opened, 0, None) * people).sum()) for m in at.moments]
        yield there, each
    vans = np.searchsorted(inst.pickup_t, at.moments, side="right")
    room = [float(inst.pickup_parcels) * float(number) for number in vans]
    if room and room[0] < inst.batch_parcels.sum():
        yield room, inst.batch_parcels.tolist()


def asked_of_goods(inst: Instance) -> list[dict[int, int]]:
    """Of each good how much each batch takes that takes any."""
    asked: list[dict[int, int]] = [{} for _ in range(inst.good_run.size)]
    for b in range(inst.batch_work.size):
        jobs = range(int(inst.job_need_ptr[inst.job_ptr[b]]), int(inst.job_need_ptr[inst.job_ptr[b + 1]]))
        own = range(int(inst.batch_need_ptr[b]), int(inst.batch_need_ptr[b + 1]))
        for good, quantity in [
            *((int(inst.job_good[i]), int(inst.job_qty[i])) for i in jobs),
            *((int(inst.batch_good[i]), int(inst.batch_qty[i])) for i in own),
        ]:
            asked[good][b] = asked[good].get(b, 0) + quantity
    return asked


def pieces_there(inst: Instance, good: int, moment: int) -> int:
    """Bought-in pieces of a good that are there by a moment."""
    steps = range(int(inst.piece_ptr[good]), int(inst.piece_ptr[good + 1]))
    return max((int(inst.piece_count[s]) for s in steps if inst.piece_t[s] <= moment), default=0)
