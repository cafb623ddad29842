"""What service costs at the least where a bench may stand idle for something more urgent, once the presses are settled.

The evaluator's benches take what is ready; now and then it pays to leave it and wait for a batch that is dearer when
late. Such plans keep the rules, so a proof asks whether one of them could be cheaper. Few batches only: every order of
jobs on one bench and of batches on the other is tried.
"""

from collections.abc import Sequence
from itertools import permutations
from math import factorial

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.timing import Timing

MOST_SEQUENCES = 4_000
DAY_S = 86_400

Hours = list[tuple[int, int, int]]


def few_enough(inst: Instance) -> bool:
    """Whether every order of work on both benches can be tried."""
    jobs, batches = inst.job_work.size, inst.batch_work.size
    return jobs <= 8 and batches <= 5 and factorial(jobs) * factorial(batches) <= MOST_SEQUENCES


class IdleBenches:
    """Service of one instance, by every order of work on its benches."""

    def __init__(self, inst: Instance) -> None:
        self.inst = inst
        self.assembly = _hours(inst.asm_start.tolist(), inst.asm_end.tolist(), inst.asm_people.tolist())
        self.packing = _hours(inst.pack_start.tolist(), inst.pack_end.tolist(), inst.pack_people.tolist())
        self.jobs_of = [range(inst.job_ptr[b], inst.job_ptr[b + 1]) for b in range(inst.batch_work.size)]
        self.weights = float(inst.batch_weight.sum())
        self.known: dict[tuple[tuple[int, ...], tuple[int, ...]], float] = {}
        """By when parts are there for each job and each batch: orders of service often hand them out alike."""

    def least(self, timing: Timing) -> float:
        """The least that service brings to the objective, parts and pieces handed out as in the plan timed last."""
        inst = self.inst
        ready = timing.jobs[:, w.READY].tolist()
        own = np.zeros(inst.batch_work.size, dtype=np.int64)
        for b in range(own.size):
            needs = timing.needs[inst.job_good.size + np.arange(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1])]
            own[b] = needs.max(initial=0)
        parts = tuple(ready), tuple(own.tolist())
        if parts not in self.known:
            self.known[parts] = self._least(*parts)
        return self.known[parts]

    def _least(self, ready: tuple[int, ...], own: tuple[int, ...]) -> float:
        inst = self.inst
        seen: set[tuple[int, ...]] = set()
        best = np.inf
        for jobs in permutations(range(len(ready))):
            done = _one_after_the_other(self.assembly, jobs, ready, inst.job_work.tolist())
            if done is None:
                continue
            there = tuple(max([own[b], *(done[job] for job in mine)]) for b, mine in enumerate(self.jobs_of))
            if there in seen:
                continue
            seen.add(there)
            for batches in permutations(range(len(there))):
                packed = _one_after_the_other(self.packing, batches, there, inst.batch_work.tolist())
                if packed is not None:
                    best = min(best, self._sent(batches, packed))
        return best

    def _sent(self, batches: tuple[int, ...], packed: dict[int, int]) -> float:
        """What the objective gains where batches packed in this order take the first pick-ups with room."""
        inst = self.inst
        room: dict[int, int] = {}
        lateness, mean, last = 0.0, 0.0, 0
        for b in batches:
            k, parcels = int(np.searchsorted(inst.pickup_t, packed[b])), int(inst.batch_parcels[b])
            while k < inst.pickup_t.size and room.get(k, inst.pickup_parcels) < parcels:
                k += 1
            if k == inst.pickup_t.size:
                return np.inf
            room[k] = room.get(k, inst.pickup_parcels) - parcels
            lateness += max(0, int(inst.pickup_day[k] - inst.batch_due[b])) * float(inst.batch_late_cost[b])
            mean += float(inst.batch_weight[b] * inst.pickup_t[k])
            last = max(last, int(inst.pickup_t[k]))
        mean = mean / self.weights if self.weights > 0 else 0.0
        return float(inst.aim_cost * lateness + (inst.aim_last * last + inst.aim_mean * mean) / DAY_S)


def _hours(opens: list[int], closes: list[int], people: list[int]) -> Hours:
    return list(zip(opens, closes, people, strict=True))


def _one_after_the_other(
    hours: Hours, steps: tuple[int, ...], ready: Sequence[int], work: list[int]
) -> dict[int, int] | None:
    """When each step of a bench ends that does them in this order, whatever else is ready; None: its hours end."""
    ended: dict[int, int] = {}
    now = k = 0
    for step in steps:
        now = max(now, ready[step])
        while k < len(hours) and hours[k][1] <= now:
            k += 1
        if k == len(hours):
            return None
        now = max(now, hours[k][0])
        left = work[step]
        while left > 0:
            _, closes, people = hours[k]
            if (closes - now) * people >= left:
                now, left = now - (-left // people), 0
                continue
            left -= (closes - now) * people
            k += 1
            if k == len(hours):
                return None
            now = hours[k][0]
        ended[step] = now
    return ended
