"""The search for a good plan within a budget: constructive rules first, then annealing, reporting as it goes."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from planner.control import Control, Progress
from planner.schedule.bounds.work import work_alone
from planner.schedule.chance import seeded
from planner.schedule.construct import first_plans
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import COST, timing_for
from planner.schedule.walk import BEST, HERE, VALUES, walk

Ended = Literal["proven", "gap reached", "budget used", "stopped"]

STEPS_A_ROUND = 2_000
"""Plans looked at between two looks at the clock: a tenth of a second on a small campaign."""

HOT_SHARE = 0.02
COLD_SHARE = 1e-5
"""Temperatures at the beginning and the end, as shares of what the first plan costs beyond the fixed cost."""

NO_BUDGET_ROUNDS = 200
"""Rounds where neither time nor rounds are given."""


@dataclass(frozen=True)
class Found:
    """What the search ends with. ended: why. rounds: how many were done."""

    solution: Solution
    objective: float
    cost: float
    rounds: int
    ended: Ended
    bound: float
    bound_basis: str


@dataclass(frozen=True)
class Budget:
    """When to stop: rounds if given, else the control's time; in any case once `gap` to the lower bound is reached."""

    rounds: int | None
    seed: int
    gap: float


class NoPlan(Exception):
    """No rule found a plan that can be carried out."""


def search(inst: Instance, budget: Budget, control: Control, start: Solution | None = None) -> Found:
    """The best plan found within the budget. `start`: a plan to begin from, if it is better than the rules' own.

    Raises NoPlan if no first plan can be carried out.
    """
    tp, timing = tape(inst), timing_for(inst)
    bound = work_alone(inst)
    candidates = first_plans(inst, tp, timing)
    if start is not None:
        candidates.append((objective_of(tp, start, timing), start))
    candidates = [c for c in candidates if c[0] < np.inf]
    if not candidates:
        raise NoPlan
    value, here = min(candidates, key=lambda pair: pair[0])
    best = here.copy()
    here = here.copy()
    values = np.zeros(VALUES)
    values[HERE] = values[BEST] = value
    room = here.copy()
    scrap = np.zeros((2, max(inst.lot_run.size, inst.batch_work.size, inst.run_tool.size)), dtype=np.int64)
    rng = seeded(budget.seed)

    def report(phase: str, share: float) -> None:
        cost = objective_of(tp, best, timing)
        money = float(timing.totals[COST])
        gap = max(0.0, (cost - bound) / cost) if cost > 0 else 0.0
        control.report(Progress(phase, min(1.0, share), money, bound, gap))

    report("first plan", 0.0)
    span = max(1e-9, value - inst.fixed_cost * inst.aim_cost)
    total = control.seconds_left()
    rounds = budget.rounds if budget.rounds is not None or total is not None else NO_BUDGET_ROUNDS
    done = 0
    ended: Ended = "budget used"
    while True:
        if control.should_stop():
            ended = "stopped"
            break
        if values[BEST] <= bound * (1 + 1e-12) or values[BEST] - bound <= budget.gap * values[BEST]:
            ended = "gap reached"
            break
        if rounds is not None:
            if done >= rounds:
                break
            share, after = done / rounds, (done + 1) / rounds
        else:
            left = control.seconds_left()
            if left is None or total is None or left <= 0:
                break
            share = 1 - left / total
            after = min(1.0, share + 0.02)
        hot = span * HOT_SHARE * (COLD_SHARE / HOT_SHARE) ** share
        cold = span * HOT_SHARE * (COLD_SHARE / HOT_SHARE) ** after
        improved = walk(
            tp.ints, tp.floats, here.seq, here.length, here.order, best.seq, best.length, best.order,
            room.seq, room.length, room.order, *timing, scrap, values, STEPS_A_ROUND, hot, cold, rng,
        )  # fmt: skip
        done += 1
        if improved or done % 20 == 0:
            report("search", after)
    objective = objective_of(tp, best, timing)
    return Found(
        best, objective, float(timing.totals[COST]), done, ended, bound, "work that every order of runs has to do"
    )
