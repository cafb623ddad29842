"""By when a batch's shots must be done for it to leave with a pick-up, worked back from the van through both benches.

Each batch as if the benches served nobody else, so that what misses these moments misses the pick-up in every plan.
"""

from bisect import bisect_right
from dataclasses import dataclass

import numpy as np

from planner.schedule.bounds.earliest import Earliest
from planner.schedule.instance import Floats, Instance, Ints

MOST_PICKUPS = 12
"""Pick-ups looked at after the first by which every batch could leave alone; what is later counts as the next one."""


@dataclass(frozen=True)
class Needs:
    """N needs of a batch for the shots of a run, by run and shots; K pick-ups.

    ptr (R + 1): needs of each run. needs (N, 4): shots, batch, seconds the parts rest, job
    (-1: the packing itself). latest (N, K): last moment for the shot. own_ptr (B + 1), own:
    for each batch and run the most demanding need (run, shots, need). sent (B): first pick-up of each batch alone.
    penalty (B + 1, K + 1): objective of a batch leaving with each pick-up, the last column: after all of them; row B:
    of the last batch. lasts (G, K): last moment at which a shot helps any batch to leave with a pick-up. assembled (K):
    when assembly must be over for the least packing to be done by then; packed (B, K): the same of each batch.
    """

    ptr: Ints
    needs: Ints
    latest: Ints
    own_ptr: Ints
    own: Ints
    sent: Ints
    penalty: Floats
    lasts: Ints
    assembled: Ints
    packed: Ints


def needs_of(inst: Instance, earliest: Earliest) -> Needs:
    """Work out the needs of every batch."""
    number = min(int(inst.pickup_t.size), int(earliest.pickup.max(initial=0)) + MOST_PICKUPS)
    asm = list(zip(inst.asm_start.tolist(), inst.asm_end.tolist(), inst.asm_people.tolist(), strict=True))
    pack = list(zip(inst.pack_start.tolist(), inst.pack_end.tolist(), inst.pack_people.tolist(), strict=True))
    opens = [[hours[0] for hours in bench] for bench in (asm, pack)]
    rows: list[tuple[int, int, int, int, int, list[int]]] = []
    lasts = np.full((inst.good_run.size, number), -1, dtype=np.int64)
    begun: list[list[int]] = []
    for b in range(inst.batch_work.size):
        packing = [
            latest_begin(pack, opens[1], int(moment), int(inst.batch_work[b])) for moment in inst.pickup_t[:number]
        ]
        found: dict[tuple[int, int, int, int], list[int]] = {}

        def need(
            good: int, quantity: int, job: int, moments: list[int],
            found: dict[tuple[int, int, int, int], list[int]] = found,
        ) -> None:  # fmt: skip
            if inst.good_run[good] < 0:
                return
            beyond = quantity - int(inst.good_stock[good])
            lasts[good] = np.maximum(lasts[good], np.array(moments) - inst.good_rest_s[good])
            if beyond <= 0:
                return
            shots = -(-beyond * int(inst.good_count_shots[good]) // int(inst.good_need[good]))
            until = [moment - int(inst.good_rest_s[good]) for moment in moments]
            key = int(inst.good_run[good]), shots, int(inst.good_rest_s[good]), job
            found[key] = [min(pair) for pair in zip(found.get(key, until), until, strict=True)]

        for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            begins = [latest_begin(asm, opens[0], moment, int(inst.job_work[job])) for moment in packing]
            for i in range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1]):
                need(int(inst.job_good[i]), int(inst.job_qty[i]), job, begins)
        for i in range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1]):
            need(int(inst.batch_good[i]), int(inst.batch_qty[i]), -1, packing)
        rows += [(run, shots, b, rest, job, until) for (run, shots, rest, job), until in found.items()]
        begun.append(packing)
    least = int(inst.batch_work.min(initial=2**40))
    assembled = np.array([latest_begin(pack, opens[1], int(moment), least) for moment in inst.pickup_t[:number]])
    rows.sort()
    most: list[dict[int, tuple[int, int]]] = [{} for _ in range(inst.batch_work.size)]
    for i, (run, shots, b, *_) in enumerate(rows):
        most[b][run] = (shots, i)
    own = [(run, shots, i) for mine in most for run, (shots, i) in mine.items()]
    day = inst.pickup_day[np.minimum(np.arange(number + 1), inst.pickup_t.size - 1)]
    moment = inst.pickup_t[np.minimum(np.arange(number + 1), inst.pickup_t.size - 1)]
    late = np.maximum(0, day[None, :] - inst.batch_due[:, None]) * inst.batch_late_cost[:, None]
    return Needs(
        np.searchsorted([row[0] for row in rows], np.arange(inst.run_tool.size + 1)).astype(np.int64),
        np.array([row[1:5] for row in rows], dtype=np.int64).reshape(-1, 4),
        np.array([row[5] for row in rows], dtype=np.int64).reshape(-1, number),
        np.cumsum([0, *(len(mine) for mine in most)]).astype(np.int64),
        np.array(own, dtype=np.int64).reshape(-1, 3),
        earliest.pickup.astype(np.int64),
        np.concatenate([inst.aim_cost * late, inst.aim_last * moment[None, :] / 86400]),
        lasts,
        assembled,
        np.array(begun, dtype=np.int64).reshape(-1, number),
    )


def latest_begin(hours: list[tuple[int, int, int]], opens: list[int], until: int, left: int) -> int:
    """The last moment at which a bench may begin `left` person-seconds to have done them by `until`; -1: there is none.

    hours: (opens, closes, people) in order; opens: the first of each.
    """
    for k in range(bisect_right(opens, until) - 1, -1, -1):
        start, closes, people = hours[k]
        end = min(closes, until)
        if left <= (end - start) * people:
            return min(end - -(-left // people), closes - 1)
        left -= (end - start) * people
    return -1
