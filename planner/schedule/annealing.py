"""Simulated annealing over the press sequences and the order of service, with the exact evaluator as its judge.

Why: a trial of formulations found it ahead of the integrated CP-SAT model from 25 runs up, by 3 to 20 % of total cost.
Each step is first estimated (`delta_estimate.py`); only what passes is timed exactly, and only an exact value is ever
taken. One call does a fixed amount of work between temperatures given by its caller, who owns the budget and the clock.
It is the one compiled entry: a chain of no work evaluates a plan.
"""

import math
from typing import NamedTuple

import numpy as np

from planner.schedule.bench_decoder import run_benches
from planner.schedule.bench_parts import allot, refresh
from planner.schedule.delta_estimate import delta_estimate, place, weigh
from planner.schedule.delta_tables import TIE, DeltaTables
from planner.schedule.evaluate import objective, press_objective
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.jit import entry, inner
from planner.schedule.moves import clean, move_batches, move_lots, move_together, rank_by_start
from planner.schedule.press_decoder import run_presses
from planner.schedule.rng import State, uniform
from planner.schedule.sequences import Sequences, copy_order, copy_press, copy_presses
from planner.schedule.timing import OBJECTIVE, Timing

VALUES = 10
HERE, BEST, FLOOR, ESTIMATES, TIMED, TAKEN, WORSE, WORSE_LOGS, ORDER_MATTERS, DRAWS = range(VALUES)
"""Where the chain stands, the best it has seen, and what lateness and dates bring to the objective at the very least;
then counts: moves estimated, timed and taken, and of those that an estimate found worse, how many and the sum of the
logarithms of by how much; last, whether it matters which batch is served first, and of how many moves a step takes the
best."""

A_TIMING = 64
"""Work of timing a plan exactly, where an estimate is one."""

ORDERS_A_MOVE = 4
"""One move of pack batches for so many plans timed."""

DOUBT = 0.03
"""Of the steps that an estimate finds too dear, those timed all the same: it cannot see what presses do to each other,
so one press alone has no need of it. S, 2 s of one core, seeds 1 to 3: 14,385, 16,243, 14,711 became 14,282, 16,168,
14,653; M, 4 s: 39,774, 43,233, 40,784 became 39,702, 43,206, 40,789."""

DOUBT_DRAWS = 8
"""Where a step takes the best of more moves, a timing is too dear for that: L, the best of some twenty, 8 s, 126,287,
131,287, 123,960 became 126,337, 131,684, 124,889."""

TOGETHER = 0.1
"""Share of the work spent on moving all lots of a batch together, where batches need several and the mean dispatch is
aimed at: 15 customer orders on three presses, 80 rounds, 27,534 and 32,168 instead of 28,030 and 33,297 (the optima are
27,490 and 32,168). For money it gained nothing on S, M and L (within 0.1 %)."""

RANK_SHARE = 0.2
"""Of the moves of lots, those after which the batches are served by when their runs begin."""


class ChainState(NamedTuple):
    """What a chain goes on with, beside the plan where it stands."""

    best: Sequences  # the best plan it has seen
    trial: Sequences  # the neighbour it looks at
    delta: DeltaTables  # of the plan where it stands
    scratch: Ints  # (2, max(J, B, R))
    values: Floats  # (VALUES)
    rng: State


@entry
def anneal(
    inst: Instance, timing: Timing, here: Sequences, chain: ChainState, work: int, hot: float, cold: float
) -> int:
    """Do so much work (estimates; a plan timed counts for A_TIMING) from temperature `hot` to `cold` (of the
    objective).

    here: where the chain stands, changed in place. Returns how often the best was improved. Without work the plan is
    timed and weighed only: totals[OBJECTIVE], inf if it cannot be carried out.
    """
    value = _weighed(inst, timing, here)
    if work == 0:
        return 0
    trial, delta, scratch, rng, values = chain.trial, chain.delta, chain.scratch, chain.rng, chain.values
    copy_presses(trial, here)
    copy_order(trial, here)
    _stand(inst, timing, here, chain, value)
    presses = here.length.size
    draws = max(1, int(values[DRAWS]))
    doubt = DOUBT if presses > 1 and draws <= DOUBT_DRAWS else 0.0
    ordered = values[ORDER_MATTERS] > 0.0 and here.order.size > 1
    several = delta.wants.size > 2 * (here.order.size + 1) and inst.aim_mean > TIE
    together = TOGETHER * draws / A_TIMING if several and presses > 1 else 0.0
    presses_stand = True  # whether `lots` holds the timing of the plan it stands on
    fall = math.log(cold / hot)
    improved = 0
    timed = 0
    done = 0
    while done < work:
        # what the trial may cost to be taken: drawn first, so that a hopeless one is dropped half-way
        limit = values[HERE] - hot * math.exp(fall * done / work) * math.log(1.0 - uniform(rng))
        moved = -1
        order_moved = all_moved = False
        if uniform(rng) < together:
            done += A_TIMING
            values[TIMED] += 1
            all_moved = True
            fine = move_together(inst, trial, delta.wants, scratch, rng)
        elif not ordered or timed < ORDERS_A_MOVE:
            # of a few moves the one that looks best: a timing costs as much as many estimates on a large campaign
            chosen, least = _best_of(inst, here, chain, draws, limit, fall == 0.0)
            done += draws
            if inst.wishing != 0 and least == np.inf:
                timed = ORDERS_A_MOVE  # no lot may move: batches may
            if not (values[HERE] + least <= limit or (least < np.inf and uniform(rng) < doubt)):
                continue
            moved, fine = _moved_as_drawn(inst, chain, chosen)
            if fine:
                done += A_TIMING
                timed += 1
                values[TIMED] += 1
        else:
            timed = 0
            done += A_TIMING
            fine = order_moved = move_batches(trial.order, scratch[0], rng)
            if fine and not presses_stand:
                run_presses(inst, trial, timing)
                press_objective(inst, timing.totals)
                presses_stand = True
        if fine and not order_moved:
            presses_stand = False
            fine = run_presses(inst, trial, timing) and press_objective(inst, timing.totals) + values[FLOOR] <= limit
            if fine and ordered and uniform(rng) < RANK_SHARE:
                rank_by_start(inst, timing.lots, trial.order, scratch[0], scratch[1])
                order_moved = True
        value = np.inf
        if fine:
            refresh(inst, timing)
            if order_moved:
                allot(inst, timing, here.order, trial.order, False)
            if run_benches(inst, timing):
                value = objective(inst, timing.totals)
        if value <= limit:
            presses_stand = True
            _copy_changed(here, trial, moved, all_moved, order_moved)
            improved += _go_on_from(inst, timing, here, chain, value)
        else:
            if order_moved and fine:
                allot(inst, timing, trial.order, here.order, False)
            _copy_changed(trial, here, moved, all_moved, order_moved)
    return improved


@inner
def _weighed(inst: Instance, timing: Timing, plan: Sequences) -> float:
    """The plan's objective, timed from nothing; inf if it cannot be carried out."""
    value = np.inf
    if run_presses(inst, plan, timing):
        press_objective(inst, timing.totals)
        for lot in range(timing.known.shape[0]):
            timing.known[lot, 0] = -1
        allot(inst, timing, plan.order, plan.order, True)
        refresh(inst, timing)
        if run_benches(inst, timing):
            value = objective(inst, timing.totals)
    timing.totals[OBJECTIVE] = value
    return value


@inner
def _best_of(
    inst: Instance, here: Sequences, chain: ChainState, draws: int, limit: float, noted: bool
) -> tuple[np.uint64, float]:
    """Of so many moves estimated, the random state that draws the one that looks best, and what that would change (inf:
    none leads anywhere; -inf: no estimate can say). limit: objective beyond which it need not be known. noted: all are.
    """
    trial, rng, values = chain.trial, chain.rng, chain.values
    presses = here.length.size
    most = np.inf if noted else limit - values[HERE]
    chosen = rng[0]
    least = np.inf
    for _ in range(draws):
        drawn = rng[0]
        moved = move_lots(inst, trial, chain.delta, chain.scratch[0], rng)
        if moved < 0:
            continue
        one, other = moved // presses, moved % presses
        enough = min(least, most)
        change = delta_estimate(inst, here, trial, chain.delta, one, enough if one == other else np.inf)
        if one != other:
            change += delta_estimate(inst, here, trial, chain.delta, other, enough - change)
        values[ESTIMATES] += 1
        if noted and change > 1e-9:  # temperatures are set by this
            values[WORSE] += 1
            values[WORSE_LOGS] += math.log(change)
        if change < least:
            least = change
            chosen = drawn
        copy_press(trial, here, one)
        if other != one:
            copy_press(trial, here, other)
    # an estimate knows nothing of days told, nor of wishes: where one is broken every move is looked at
    if least < np.inf and (inst.moving_day > 0.0 or (inst.wishing != 0 and values[HERE] >= inst.wish_cost)):
        least = -np.inf
    return chosen, least


@inner
def _moved_as_drawn(inst: Instance, chain: ChainState, chosen: np.uint64) -> tuple[int, bool]:
    """Make the move on the trial that a random state draws, the chain's own state left alone: the presses it changed,
    as `move_lots` says it, and whether what must never meet is still kept apart on them."""
    trial, rng = chain.trial, chain.rng
    drawn = rng[0]
    rng[0] = chosen
    moved = move_lots(inst, trial, chain.delta, chain.scratch[0], rng)
    rng[0] = drawn
    one, other = moved // trial.length.size, moved % trial.length.size
    return moved, one == other or (clean(inst, trial, one) and clean(inst, trial, other))


@inner
def _stand(inst: Instance, timing: Timing, here: Sequences, chain: ChainState, value: float) -> None:
    """Note the objective of the plan the chain stands on, as it is timed now, and what its estimates go by."""
    chain.values[HERE] = value
    place(inst, here, timing.lots, chain.delta)
    weigh(inst, timing, chain.delta)


@inner
def _copy_changed(to: Sequences, of: Sequences, moved: int, all_moved: bool, order_moved: bool) -> None:
    """What a step changed: the presses of a move, all presses, the order of service."""
    if moved >= 0:
        copy_press(to, of, moved // of.length.size)
        copy_press(to, of, moved % of.length.size)
    if all_moved:
        copy_presses(to, of)
    if order_moved:
        copy_order(to, of)


@inner
def _go_on_from(inst: Instance, timing: Timing, here: Sequences, chain: ChainState, value: float) -> int:
    """Note where the chain stands now; 1 if that is the best it has seen."""
    values = chain.values
    values[TAKEN] += 1
    _stand(inst, timing, here, chain, value)
    if value >= values[BEST] - 1e-9:
        return 0
    values[BEST] = value
    copy_presses(chain.best, here)
    copy_order(chain.best, here)
    return 1
