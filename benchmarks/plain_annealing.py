"""The search against annealing in its plainest form: one move drawn, timed in full, taken or not.

    python -m benchmarks.plain_annealing [--sizes M:12] [--seconds 10] [--seeds 3]

Whatever the search has beyond this (estimates, kin, late batches, coolings, a bound) must pay for itself. Both begin
with the same plan and have the same seconds of processor time, one core, no bound; --sizes: as SIZE:SEED of the
generator. Printed: cost of the first plan, of the plain annealer's best and of the search's, by seed; at the end by how
much the search is dearer, median and worst. Below 0: it is ahead.
"""

import argparse
import math
import random
import time
from collections.abc import Callable
from statistics import median

import numpy as np

from benchmarks.generator import sized
from benchmarks.schedule_parts import OneCore
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import timing_for
from planner.schedule.warm import warm

HOT, COLD = 3e-3, 3e-6
"""Temperatures at the beginning and the end, as shares of what the first plan costs."""


def neighbour(inst: Instance, plan: Solution, draw: random.Random) -> Solution | None:
    """Two lots exchanged, a lot put elsewhere, or a batch served earlier or later; None where that is not allowed."""
    other = plan.copy()
    kind = draw.random()
    if kind < 0.2 and plan.order.size > 1:
        a, b = draw.randrange(plan.order.size), draw.randrange(plan.order.size)
        other.order = np.insert(np.delete(plan.order, a), b, plan.order[a])
        return other
    lots = plan.lots()
    p, a = draw.choice([(p, n) for p, mine in enumerate(lots) for n in range(int(inst.pinned[p]), len(mine))])
    if kind < 0.5:
        q, b = draw.choice([(q, n) for q, mine in enumerate(lots) for n in range(int(inst.pinned[q]), len(mine))])
        lots[p][a], lots[q][b] = lots[q][b], lots[p][a]
    else:
        lot = lots[p].pop(a)
        q = draw.randrange(len(lots))
        lots[q].insert(draw.randint(int(inst.pinned[q]), len(lots[q])), lot)
    moved = Solution.empty(inst)
    moved.order = plan.order
    for press, mine in enumerate(lots):
        for lot in mine:
            moved.append(press, lot)
    return moved if allowed(inst, moved) else None


def annealed(inst: Instance, used: Callable[[int], float], seed: int) -> tuple[float, float, int]:
    """Objective of the first plan and of the best one found, and how many plans were timed. used: the share of its
    budget that is gone after so many."""
    arrays, timing, draw = packed_instance(inst), timing_for(inst), random.Random(seed)
    first, plan = min(first_plans(inst, arrays, timing), key=lambda pair: pair[0])
    here = best = first
    timed = 0
    while (share := used(timed)) < 1.0:
        heat = first * HOT * (COLD / HOT) ** share
        if (tried := neighbour(inst, plan, draw)) is None:
            continue
        timed += 1
        value = objective_of(arrays, tried, timing)
        if value <= here - heat * math.log(1.0 - draw.random()):
            plan, here = tried, value
            best = min(best, value)
    return first, best, timed


def with_processor_time(inst: Instance, seconds: float, seed: int) -> tuple[float, float, int]:
    """`annealed` for so many seconds of this process."""
    begun = time.process_time()
    return annealed(inst, lambda _: (time.process_time() - begun) / seconds, seed)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", default="M:12")
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seeds", type=int, default=3)
    asked = parser.parse_args()
    warm()
    for size in asked.sizes.split(","):
        name, _, number = size.partition(":")
        inst, _ = compile_campaign(sized(name, int(number or 1)))
        dearer = []
        for seed in range(1, asked.seeds + 1):
            first, plain, timed = with_processor_time(inst, asked.seconds, seed)
            found = search(inst, Budget(None, seed, 0.0, bound_effort=0), OneCore(asked.seconds)).objective
            dearer.append(found / plain - 1.0)
            print(f"{size}, seed {seed}: first {first:,.1f}; plain {plain:,.1f} of {timed:,} plans; {found:,.1f}")
        print(f"{size}: {median(dearer):+.3%} to the plain one, median; {max(dearer):+.3%} worst", flush=True)


if __name__ == "__main__":
    main()
