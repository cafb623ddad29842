"""Simulated annealing over the press sequences and the order of service, with the exact evaluator as its judge.

Why: a trial of formulations found it ahead of the integrated CP-SAT model from 25 runs up, by 3 to 20 % of total cost.
Each step is first glanced at (`glance.py`); only what passes is timed exactly, and only an exact value is ever taken.
One call walks a fixed amount of work between temperatures given by its caller, who owns the budget and the clock. It
is the one compiled entry: a walk of no work evaluates a plan.
"""

import math

import numpy as np

from planner.schedule import tape as t
from planner.schedule.bench_parts import allot, refresh
from planner.schedule.bench_time import run_benches
from planner.schedule.chance import State, uniform
from planner.schedule.evaluate import objective, press_objective
from planner.schedule.glance import glance, place, weigh
from planner.schedule.glance_tables import TIE
from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import entry, inner
from planner.schedule.moves import clean, move_batches, move_lots, move_together, rank_by_start
from planner.schedule.press_time import run_presses

VALUES = 10
HERE, BEST, FLOOR, GLANCES, TIMED, TAKEN, WORSE, WORSE_LOGS, ORDER_MATTERS, DRAWS = range(VALUES)
"""Where the walk stands, the best it has seen, and what lateness and dates bring to the objective at the very least;
then counts: moves glanced at, timed and taken, and of those that a glance found worse, how many and the sum of the
logarithms of by how much; last, whether it matters which batch is served first, and of how many moves a step takes the
best."""

A_TIMING = 64
"""Work of timing a plan exactly, where a glance is one."""

ORDERS_A_MOVE = 4
"""One move of pack batches for so many plans timed."""

DOUBT = 0.03
"""Of the steps that a glance finds too dear, those timed all the same: it cannot see what presses do to each other, so
one press alone has no need of it. S, 2 s of one core, seeds 1 to 3: 14,385, 16,243, 14,711 became 14,282, 16,168,
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


@entry
def walk(
    ints: Ints, floats: Floats, seq: Ints, length: Ints, order: Ints, best_seq: Ints, best_length: Ints,
    best_order: Ints, try_seq: Ints, try_length: Ints, try_order: Ints, lots: Ints, pieces: Ints, jobs: Ints,
    batches: Ints, used: Floats, totals: Floats, presses: Ints, tools: Ints, setters: Ints, links: Ints, goods: Ints,
    asked: Ints, needs: Ints, moments: Ints, sources: Ints, known: Ints, asking: Ints, queues: Ints, heap: Ints,
    room: Ints, seen: Ints, marks: Floats, press: Floats, axis: Floats, moulding: Floats, start: Floats,
    waste: Floats, kin: Ints, near: Ints, asks: Ints, wants: Ints, promises: Floats, late: Ints, ends: Floats,
    scrap: Ints, values: Floats, work: int, hot: float, cold: float, rng: State,
) -> int:  # fmt: skip
    """Do so much work (glances; a plan timed counts for A_TIMING) from temperature `hot` to `cold` (of the objective).

    ints, floats: the Tape. seq (P, J), length (P), order (B): where the walk stands, changed in place; best_*: the
    best seen; try_*: room. lots .. room: a Timing. seen .. late: a Glance. scrap (2, max(J, B, R)): room. values: see
    VALUES. Returns how often the best was improved; of a walk of no work, 1 if the plan can be carried out.
    """
    fine = run_presses(ints, floats, seq, length, lots, pieces, used, totals, presses, tools, setters)
    value = np.inf
    if fine:
        press_objective(ints, floats, totals)
        for lot in range(known.shape[0]):
            known[lot, 0] = -1
        allot(ints, order, order, lots, pieces, links, goods, asked, needs, moments, sources, queues, True)
        refresh(ints, lots, pieces, links, needs, moments, sources, known, asking)
        if run_benches(ints, floats, jobs, batches, totals, needs, moments, queues, heap, room):
            value = objective(ints, floats, totals)
    values[HERE] = value
    if work == 0:
        return 1 if value < np.inf else 0

    for p in range(length.size):
        try_length[p] = length[p]
        for n in range(length[p]):
            try_seq[p, n] = seq[p, n]
    for n in range(order.size):
        try_order[n] = order[n]
    place(ints, floats, seq, length, lots, seen, marks, press, axis, moulding, start, waste)
    weigh(ints, floats, batches, totals, moments, sources, seen, marks, press, asks, promises, late)
    draws = max(1, int(values[DRAWS]))
    doubt = DOUBT if length.size > 1 and draws <= DOUBT_DRAWS else 0.0
    ordered = values[ORDER_MATTERS] > 0.0 and order.size > 1
    several = wants.size > 2 * (order.size + 1) and floats[ints[t.AIM_MEAN]] > TIE
    together = TOGETHER * draws / A_TIMING if several and length.size > 1 else 0.0
    presses_stand = True  # whether `lots` holds the timing of the plan walked from
    fall = math.log(cold / hot)
    improved = 0
    timed = 0
    done = 0
    while done < work:
        # what the trial may cost to be taken: drawn first, so that a hopeless one is dropped half-way
        limit = values[HERE] - hot * math.exp(fall * done / work) * math.log(1.0 - uniform(rng))
        moved = -1
        order_moved = all_moved = False
        fine = True
        value = np.inf
        one = other = 0
        if uniform(rng) < together:
            done += A_TIMING
            values[TIMED] += 1
            all_moved = True
            fine = move_together(ints, try_seq, try_length, wants, scrap, rng)
        elif not ordered or timed < ORDERS_A_MOVE:
            # of a few moves the one that looks best: a timing costs as much as many glances on a large campaign
            chosen = rng[0]
            least = np.inf
            most = np.inf if fall == 0.0 else limit - values[HERE]
            for _ in range(draws):
                drawn = rng[0]
                moved = move_lots(ints, try_seq, try_length, scrap[0], seen, kin, near, late, rng)
                if moved < 0:
                    continue
                one, other = moved // length.size, moved % length.size
                change = _glance(
                    ints, floats, seq, length, try_seq, try_length, one, other, min(least, most), seen,
                    marks, press, axis, moulding, start, waste, ends,
                )  # fmt: skip
                values[GLANCES] += 1
                if fall == 0.0 and change > 1e-9:  # all of it: temperatures are set by this
                    values[WORSE] += 1
                    values[WORSE_LOGS] += math.log(change)
                if change < least:
                    least = change
                    chosen = drawn
                _copy(seq, length, try_seq, try_length, one)
                if other != one:
                    _copy(seq, length, try_seq, try_length, other)
            done += draws
            fine = values[HERE] + least <= limit or (least < np.inf and uniform(rng) < doubt)
            if not fine:
                continue
            drawn = rng[0]
            rng[0] = chosen
            moved = move_lots(ints, try_seq, try_length, scrap[0], seen, kin, near, late, rng)
            rng[0] = drawn
            one, other = moved // length.size, moved % length.size
            if fine:
                fine = one == other or (
                    clean(ints, try_seq, try_length, one) and clean(ints, try_seq, try_length, other)
                )
            if fine:
                done += A_TIMING
                timed += 1
                values[TIMED] += 1
        else:
            timed = 0
            done += A_TIMING
            fine = order_moved = move_batches(try_order, scrap[0], rng)
            if fine and not presses_stand:
                run_presses(ints, floats, try_seq, try_length, lots, pieces, used, totals, presses, tools, setters)
                press_objective(ints, floats, totals)
                presses_stand = True
        if fine and not order_moved:
            presses_stand = False
            fine = run_presses(ints, floats, try_seq, try_length, lots, pieces, used, totals, presses, tools, setters)
            if fine and press_objective(ints, floats, totals) + values[FLOOR] > limit:
                fine = False
            if fine and ordered and uniform(rng) < RANK_SHARE:
                rank_by_start(ints, lots, try_order, scrap[0], scrap[1])
                order_moved = True
        if fine:
            refresh(ints, lots, pieces, links, needs, moments, sources, known, asking)
            if order_moved:
                allot(ints, order, try_order, lots, pieces, links, goods, asked, needs, moments, sources, queues, False)
            if run_benches(ints, floats, jobs, batches, totals, needs, moments, queues, heap, room):
                value = objective(ints, floats, totals)
        if value <= limit:
            values[HERE] = value
            values[TAKEN] += 1
            presses_stand = True
            if moved >= 0:
                _copy(try_seq, try_length, seq, length, one)
                _copy(try_seq, try_length, seq, length, other)
            if all_moved:
                for p in range(length.size):
                    _copy(try_seq, try_length, seq, length, p)
            if order_moved:
                for n in range(order.size):
                    order[n] = try_order[n]
            place(ints, floats, seq, length, lots, seen, marks, press, axis, moulding, start, waste)
            weigh(ints, floats, batches, totals, moments, sources, seen, marks, press, asks, promises, late)
            if value < values[BEST] - 1e-9:
                values[BEST] = value
                improved += 1
                for p in range(length.size):
                    _copy(seq, length, best_seq, best_length, p)
                for n in range(order.size):
                    best_order[n] = order[n]
        else:
            if moved >= 0:
                _copy(seq, length, try_seq, try_length, one)
                _copy(seq, length, try_seq, try_length, other)
            if all_moved:
                for p in range(length.size):
                    _copy(seq, length, try_seq, try_length, p)
            if order_moved:
                if fine:
                    allot(
                        ints, try_order, order, lots, pieces, links, goods, asked, needs, moments, sources, queues,
                        False,
                    )  # fmt: skip
                for n in range(order.size):
                    try_order[n] = order[n]
    return improved


@inner
def _glance(
    ints: Ints, floats: Floats, seq: Ints, length: Ints, try_seq: Ints, try_length: Ints, one: int, other: int,
    most: float, seen: Ints, marks: Floats, press: Floats, axis: Floats, moulding: Floats, start: Floats, waste: Floats,
    ends: Floats,
) -> float:  # fmt: skip
    """A glance at both presses a move touches."""
    change = 0.0
    for p in (one, other):
        last = p == other
        change += glance(
            ints, floats, seq, length, try_seq, try_length, p, most - change if last else np.inf, seen, marks, press,
            axis, moulding, start, waste, ends,
        )  # fmt: skip
        if one == other:
            break
    return change


@inner
def _copy(seq: Ints, length: Ints, to_seq: Ints, to_length: Ints, p: int) -> None:
    """Press p's sequence."""
    to_length[p] = length[p]
    for n in range(length[p]):
        to_seq[p, n] = seq[p, n]
