"""Simulated annealing over the press sequences and the order of service, with the exact evaluator as its judge.

Why: a trial of formulations found it ahead of the integrated CP-SAT model from 25 runs up, by 3 to 20 % of total cost.
One call walks a fixed number of steps between temperatures given by its caller, who owns the budget and the clock. It
is the one compiled entry: a walk of no steps evaluates a plan.
"""

import math

import numpy as np

from planner.schedule.bench_time import allot, run_benches
from planner.schedule.chance import State, uniform
from planner.schedule.evaluate import objective, press_objective
from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import entry
from planner.schedule.moves import clean, move_batches, move_lots, rank_by_start
from planner.schedule.press_time import run_presses

VALUES = 3
HERE, BEST, FLOOR = range(VALUES)
"""Where the walk stands, the best it has seen, and what lateness and dates bring to the objective at the very least."""


@entry
def walk(
    ints: Ints, floats: Floats, seq: Ints, length: Ints, order: Ints, best_seq: Ints, best_length: Ints,
    best_order: Ints, try_seq: Ints, try_length: Ints, try_order: Ints, lots: Ints, pieces: Ints, jobs: Ints,
    batches: Ints, used: Floats, totals: Floats, presses: Ints, tools: Ints, setters: Ints, links: Ints, goods: Ints,
    needs: Ints, queues: Ints, heap: Ints, room: Ints, scrap: Ints, values: Floats, steps: int, hot: float,
    cold: float, rng: State,
) -> int:  # fmt: skip
    """Walk `steps` steps from temperature `hot` down to `cold` (in units of the objective).

    ints, floats: the Tape. seq (P, J), length (P), order (B): where the walk stands, changed in place; best_*: the
    best seen; try_*: room. lots .. room: a Timing. scrap (2, max(J, B, R)): room. values: see VALUES.
    Returns how often the best was improved; of a walk of no steps, 1 if the plan can be carried out.
    """
    if steps == 0:
        values[HERE] = np.inf
        allot(ints, order, goods, needs, queues)
        if not run_presses(ints, floats, seq, length, lots, pieces, used, totals, presses, tools, setters):
            return 0
        press_objective(ints, floats, totals)
        if not run_benches(
            ints, floats, order, lots, pieces, jobs, batches, totals, links, goods, needs, queues, heap, room
        ):
            return 0
        values[HERE] = objective(ints, floats, totals)
        return 1

    for p in range(length.size):
        try_length[p] = length[p]
        for n in range(length[p]):
            try_seq[p, n] = seq[p, n]
    for n in range(order.size):
        try_order[n] = order[n]
    allot(ints, try_order, goods, needs, queues)
    presses_stand = order_stands = False  # whether `lots` and `needs` hold what belongs to the trial plan
    order_stands = True
    fall = math.log(cold / hot) / steps
    improved = 0
    for step in range(steps):
        # what the trial may cost to be taken: drawn first, so that a hopeless one is dropped half-way
        limit = values[HERE] - hot * math.exp(fall * step) * math.log(1.0 - uniform(rng))
        drawn = uniform(rng)
        moved = -1
        order_moved = False
        fine = True
        value = np.inf
        if order.size < 2 or drawn < 0.75:
            moved = move_lots(ints, try_seq, try_length, scrap[0], rng)
            if moved < 0:
                continue
            one, other = moved // length.size, moved % length.size
            fine = one == other or (clean(ints, try_seq, try_length, one) and clean(ints, try_seq, try_length, other))
            if fine:
                presses_stand = False
                fine = run_presses(
                    ints, floats, try_seq, try_length, lots, pieces, used, totals, presses, tools, setters
                )
                if fine and press_objective(ints, floats, totals) + values[FLOOR] > limit:
                    fine = False
            if fine and drawn < 0.15:
                rank_by_start(ints, lots, try_order, scrap[0], scrap[1])
                order_moved = True
        else:
            fine = order_moved = move_batches(try_order, scrap[0], rng)
            if fine and not presses_stand:
                run_presses(ints, floats, try_seq, try_length, lots, pieces, used, totals, presses, tools, setters)
                presses_stand = True
        if fine:
            if order_moved or not order_stands:
                allot(ints, try_order, goods, needs, queues)
                order_stands = not order_moved
            if run_benches(
                ints,
                floats,
                try_order,
                lots,
                pieces,
                jobs,
                batches,
                totals,
                links,
                goods,
                needs,
                queues,
                heap,
                room,
            ):
                value = objective(ints, floats, totals)
        if value <= limit:
            values[HERE] = value
            presses_stand = order_stands = True
            if moved >= 0:
                for p in (moved // length.size, moved % length.size):
                    length[p] = try_length[p]
                    for n in range(length[p]):
                        seq[p, n] = try_seq[p, n]
            if order_moved:
                for n in range(order.size):
                    order[n] = try_order[n]
            if value < values[BEST] - 1e-9:
                values[BEST] = value
                improved += 1
                for p in range(length.size):
                    best_length[p] = length[p]
                    for n in range(length[p]):
                        best_seq[p, n] = seq[p, n]
                for n in range(order.size):
                    best_order[n] = order[n]
        else:
            if moved >= 0:
                for p in (moved // length.size, moved % length.size):
                    try_length[p] = length[p]
                    for n in range(length[p]):
                        try_seq[p, n] = seq[p, n]
            if order_moved:
                order_stands = False
                for n in range(order.size):
                    try_order[n] = order[n]
    return improved
