"""A chain of moves judged by what a plan costs on average over the same scenarios, before and after.

Each move is timed as planned first: what is far dearer if all goes well, or cannot be carried out, goes no further.
Then scenario by scenario, the difference to the plan where the chain stands added up (common random numbers): a move
that is dearer by more than chance explains is dropped on the way, and only one followed through all of them is taken.
"""

import math
from typing import NamedTuple

import numpy as np

from planner.schedule.delta_estimate import place, weigh
from planner.schedule.delta_tables import DeltaTables, no_delta_tables
from planner.schedule.expected.recourse import Recourse, as_planned, through
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.moves import clean, move_batches, move_lots, rank_by_start
from planner.schedule.packed import pack
from planner.schedule.rng import State, below, seeded, uniform
from planner.schedule.sequences import Sequences, copy_order, copy_presses

VALUES = 12
HERE, BEST, MOST, NEVER_COST, ORDERED, STANDS, MOVES, RACED, FOLLOWED, TAKEN, SERVED, LOOKED_AT = range(VALUES)
"""Mean objective where the chain stands and the best it has seen; objective as planned that no move may exceed; what a
scenario counts that cannot be carried out; whether the order of service matters; whether it has been followed through
all scenarios where it stands; then counts: moves made, those that
came as far as scenarios, those followed through all, and those taken; last, how many batches at the head of the order
of service stay where they are, and how many of the scenarios are looked at."""

FIRST_LOOK = 4
"""Scenarios after which a move may be dropped, and then after twice as many each time."""

RUNS_SHARE = 0.5
"""Of the moves, those of runs where the order of service matters too; the others are of batches."""

RANKED_SHARE = 0.3
"""Of the moves of runs, those after which batches are served by when their runs begin."""


class Climb(NamedTuple):
    """What a chain goes on with, beside the plan where it stands."""

    best: Sequences
    trial: Sequences
    delta: DeltaTables
    scratch: Ints  # (2, max(J, B, R))
    costs: Floats  # (K) objective in each scenario where the chain stands
    tried: Floats  # (K) of the move looked at
    values: Floats  # (VALUES)
    rng: State


def no_climb() -> Climb:
    """Of the right kinds, for a chain that goes nowhere."""
    nothing = pack(Sequences(np.zeros((1, 1), dtype=np.int64), *np.zeros((2, 1), dtype=np.int64)))
    scratch, costs, values = np.zeros((2, 1), dtype=np.int64), np.zeros(1), np.zeros(VALUES)
    return pack(Climb(nothing, nothing, no_delta_tables(), scratch, costs, costs, values, seeded(0)))


@inner
def climbed(
    inst: Instance, recourse: Recourse, here: Sequences, climb: Climb, work: int, hot: float, cold: float
) -> int:
    """Go on until so many timings are done, from temperature `hot` to `cold` (of the mean objective); how often the
    best was improved, -1 where the plan cannot be carried out as planned.

    here is changed in place.
    """
    planned, likely = recourse.planned, recourse.likely
    values, costs, tried, trial, rng = climb.values, climb.costs, climb.tried, climb.trial, climb.rng
    number = int(values[LOOKED_AT])
    if as_planned(inst, likely, here, planned) == np.inf:
        return -1
    place(inst, here, likely.lots, climb.delta)
    weigh(inst, likely, climb.delta)
    done = 1
    if values[STANDS] == 0.0:
        total = 0.0
        for k in range(number):
            costs[k] = min(values[NEVER_COST], through(inst, recourse, k, here))
            total += costs[k]
        values[HERE] = total / number
        values[STANDS] = 1.0
        done += number
    improved = 0
    if values[HERE] < values[BEST] - 1e-9:
        _keep(climb, here)
        improved = 1
    copy_presses(trial, here)
    copy_order(trial, here)
    fall = math.log(cold / hot)
    while done < work:
        allowed = -hot * math.exp(fall * done / work) * math.log(1.0 - uniform(rng))
        done += 1
        values[MOVES] += 1
        fine = _moved(inst, climb)
        if fine:
            value = as_planned(inst, likely, trial, planned)
            fine = value <= values[MOST]
        if fine and uniform(rng) < RANKED_SHARE:
            free = trial.order[int(values[SERVED]) :]
            rank_by_start(inst, likely.lots, free, climb.scratch[0], climb.scratch[1])
            done += 1
            fine = as_planned(inst, likely, trial, planned) <= values[MOST]
        gained = np.inf
        if fine:
            values[RACED] += 1
            gained, looked = _raced(inst, recourse, climb, allowed)
            done += looked
        if gained <= allowed:
            copy_presses(here, trial)
            copy_order(here, trial)
            for k in range(number):
                costs[k] = tried[k]
            place(inst, here, likely.lots, climb.delta)
            weigh(inst, likely, climb.delta)
            values[TAKEN] += 1
            values[HERE] += gained
            if values[HERE] < values[BEST] - 1e-9:
                _keep(climb, here)
                improved += 1
        else:
            copy_presses(trial, here)
            copy_order(trial, here)
    return improved


@inner
def _keep(climb: Climb, here: Sequences) -> None:
    climb.values[BEST] = climb.values[HERE]
    copy_presses(climb.best, here)
    copy_order(climb.best, here)


@inner
def _moved(inst: Instance, climb: Climb) -> bool:
    """Move something in the trial; whether anything moved and nothing meets that must not."""
    trial, rng = climb.trial, climb.rng
    presses = trial.length.size
    if climb.values[ORDERED] > 0.0 and uniform(rng) >= RUNS_SHARE:
        return bool(move_batches(trial.order[int(climb.values[SERVED]) :], climb.scratch[0], rng))
    moved = move_lots(inst, trial, climb.delta, climb.scratch[0], rng)
    if moved < 0:
        return False
    one, other = moved // presses, moved % presses
    return one == other or (clean(inst, trial, one) and clean(inst, trial, other))


@inner
def _raced(inst: Instance, recourse: Recourse, climb: Climb, allowed: float) -> tuple[float, int]:
    """The mean change of the trial over all scenarios, inf once it is dropped; and scenarios looked at."""
    number = int(climb.values[LOOKED_AT])
    first = below(climb.rng, number)
    total = squares = 0.0
    look = FIRST_LOOK
    for n in range(number):
        k = (first + n) % number
        value = min(climb.values[NEVER_COST], through(inst, recourse, k, climb.trial))
        climb.tried[k] = value
        change = value - climb.costs[k]
        total += change
        squares += change * change
        if n + 1 == look and look < number:
            mean = total / look
            spread = math.sqrt(max(0.0, squares / look - mean * mean) / look)
            if squares == 0.0 or mean - spread > allowed:
                return np.inf, look
            look *= 2
    climb.values[FOLLOWED] += 1
    return (np.inf if squares == 0.0 else total / number), number
