"""Every plan of a campaign so small that all can be tried, and the least that the plain twin makes of them."""

from collections.abc import Iterator
from functools import cache
from itertools import permutations, product
from math import factorial, inf

import numpy as np
import pytest

from benchmarks.generator import small, tiny
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import NONE, Instance
from planner.schedule.solution import Solution, waiting
from tests.planner.schedule.plain.evaluate import carried_out, objective
from tests.planner.schedule.plain.workshop import CannotBeDone

MOST_PLANS = 250
"""Plans of a campaign that the twin is asked to carry out, one by one."""


def every_sequence(inst: Instance) -> list[list[list[int]]]:
    """Every way to put the lots on presses they fit, in every order; pinned lots stay at the head of their press."""
    presses, lots = inst.pinned.size, range(inst.lot_run.size)
    heads, n = [], 0
    for number in inst.pinned:
        heads.append(list(range(n, n + number)))
        n += int(number)
    free = [j for j in lots if j >= n]
    found = []
    for places in product(range(presses), repeat=len(free)):
        on = [[j for j, p in zip(free, places, strict=True) if p == press] for press in range(presses)]
        if not all(inst.fits[p, inst.lot_run[j]] for p in range(presses) for j in on[p]):
            continue
        for orders in product(*(permutations(mine) for mine in on)):
            plan = [heads[p] + list(orders[p]) for p in range(presses)]
            runs = [inst.lot_run[mine] for mine in plan]
            if not any(inst.clash[np.ix_(r, r)].any() for r in runs):
                found.append(plan)
    return found


def brute_force(inst: Instance) -> float:
    """The least objective of all plans, by the plain twin alone."""
    best = inf
    for plan in every_sequence(inst):
        for order in permutations(range(inst.batch_work.size)):
            try:
                best = min(best, objective(inst, carried_out(inst, plan, list(order))))
            except CannotBeDone:
                continue
    return best


def is_the_best(inst: Instance, value: float, solution: Solution, best: float) -> bool:
    """Whether a plan is worth what the twin says, and no less than the best that begins everything as early as it can;
    it may wait on purpose and be better."""
    told = objective(waiting(inst, solution), carried_out(waiting(inst, solution), solution.lots(), [*solution.order]))
    if solution.release is None:
        return value == pytest.approx(best, rel=1e-9, abs=2e-4) == told
    return value == pytest.approx(told, rel=1e-9, abs=2e-4) and value <= best + 2e-4


def tiny_instances(aim: str | None = None) -> Iterator[tuple[int, Instance]]:
    for seed in range(120):
        campaign = tiny(seed)
        if aim is not None:
            campaign = campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"aim": aim})})
        inst, _ = compile_campaign(campaign)
        number = len(every_sequence(inst)) * factorial(inst.batch_work.size) if inst.lot_run.size < 6 else inf
        if 2 <= number <= MOST_PLANS:
            yield seed, inst._replace(run_smallest=NONE)  # lots stay as they are cut


@cache
def small_instance(seed: int) -> Instance:
    """Laid out once for all tests of the process."""
    return compile_campaign(small(seed))[0]
