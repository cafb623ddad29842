"""A plan with branches (RULES.md, S10): a common part until it is known how a thing turns out, then a plan either way.

The common part is what begins before that moment as planned: runs at the head of each press, and pack batches that are
served first. Nothing else begins before it, in no branch and in no scenario, so that nobody does what only a branch
knows. From then on each branch has its own order of runs and of service.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from planner.campaign.planning import Policy
from planner.readiness import ready_days
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.expected.replicate import (
    Replications,
    follow_through,
    replicated,
)
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import NEVER, Instance, Ints, packed_instance
from planner.schedule.lot_begins import lot_begins
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for
from planner.settled.looks import look_of
from planner.settled.things import Thing, Turn
from planner.settled.turned_out import turned_out

DAY_S = 86400


@dataclass(frozen=True)
class Common:
    """What is the same in all branches. heads (P): runs at the head of each press. batches: served first, in order."""

    heads: tuple[int, ...]
    batches: tuple[int, ...]


@dataclass(frozen=True)
class World:
    """How a thing turned out, all else as likely. inst: the campaign there. supply_s, piece_s: seconds by which
    deliveries come later in it, so that scenarios, which count from the plan, are counted from there. look: what is of
    another colour in it."""

    turn: Turn
    inst: Instance
    supply_s: Ints
    piece_s: Ints
    look: dict[str, Any]


@dataclass(frozen=True)
class Branch:
    """What is done once a thing has turned out so. inst: its lots, the common part pinned; the rest begins no sooner
    than the outcome is known."""

    world: World
    inst: Instance
    solution: Solution


@dataclass(frozen=True)
class Branched:
    """Branches, one for each turn of a thing. known: s from the start, from when it is known."""

    thing: Thing
    known: int
    common: Common
    branches: tuple[Branch, ...]
    same: bool = False
    """Whether all keep the plan's own order and wait for nothing."""


def batch_begins(timing: Timing, inst: Instance) -> Ints:
    """(B) when the first work on each pack batch begins, as timed: at its packing, assembly or on a bench before."""
    found = timing.batches[:, w.STARTED].astype(np.int64)
    jobs = timing.jobs[:, w.STARTED].astype(np.int64)
    if inst.finishing:
        started = timing.finished[:, w.STARTED].reshape(inst.finishing, jobs.size)
        jobs = np.minimum(jobs, np.where(inst.finish_work >= 0, started, NEVER).min(axis=0))
    for b in range(found.size):
        mine = jobs[inst.job_ptr[b] : inst.job_ptr[b + 1]]
        if mine.size:
            found[b] = min(int(found[b]), int(mine.min()))
    return found


def common_part(inst: Instance, solution: Solution, known: int) -> tuple[Common, Solution]:
    """What begins before that moment as planned, and the plan in which that is served first.

    Batches moved to the front may let others begin sooner: those join them.
    """
    moved = solution.copy()
    first: list[int] = []
    known_first: set[int] = set()
    while True:
        timing = timing_for(inst)
        objective_of(packed_instance(inst), moved, timing)
        begun = batch_begins(timing, inst)
        order = moved.order.tolist()
        found = [b for b in order if begun[b] < known or b in known_first]
        if len(found) == len(first):
            break
        first, known_first = found, set(found)
        moved.order = np.array(first + [b for b in order if b not in known_first], dtype=np.int64)
    lots_begin = lot_begins(timing, slice(inst.lot_run.size))
    heads = []
    for p, lots in enumerate(moved.lots()):
        begun_here = [n for n, lot in enumerate(lots) if lots_begin[lot] < known]
        heads.append(max(int(inst.pinned[p]), begun_here[-1] + 1 if begun_here else 0))
    return Common(tuple(heads), tuple(first)), moved


def held_fast(
    inst: Instance, solution: Solution, common: Common, known: int, as_planned: bool
) -> tuple[Instance, Solution]:
    """The instance in which the common part is pinned and nothing else begins before that moment, and the plan in it.

    as_planned: whether what comes after the common part waits on purpose as the plan has it wait. Batches that are not
    common ask for one thing more, which is there from that moment on.
    """
    rows = solution.lots()
    heads = [lot for row, n in zip(rows, common.heads, strict=True) for lot in row[:n]]
    rest = [lot for row, n in zip(rows, common.heads, strict=True) for lot in row[n:]]
    old = np.array(heads + rest, dtype=np.int64)
    release = np.full(old.size, known, dtype=np.int64)
    release[: len(heads)] = 0
    if inst.lot_release.size:
        last = old.size if as_planned else len(heads)
        release[:last] = np.maximum(release[:last], inst.lot_release[old[:last]])
    number = {lot: n for n, lot in enumerate(old.tolist())}
    held = inst._replace(
        lot_run=inst.lot_run[old],
        lot_shots=inst.lot_shots[old],
        lot_release=release,
        pinned=np.array(common.heads, dtype=np.int64),
    )
    plan = Solution.empty(held)
    for p, row in enumerate(rows):
        for lot in row:
            plan.append(p, number[lot])
    plan.order = solution.order.copy()
    return _waiting_batches(held, common, known), plan


def _waiting_batches(inst: Instance, common: Common, known: int) -> Instance:
    """With a good of which there is enough from that moment on, for every batch that is not common."""
    good = inst.good_run.size
    wait = np.ones(inst.batch_work.size, dtype=np.bool_)
    wait[list(common.batches)] = False
    jobs = np.flatnonzero(np.repeat(wait, np.diff(inst.job_ptr)))
    job_ptr, job_good, job_qty = _one_more(inst.job_need_ptr, inst.job_good, inst.job_qty, jobs, good)
    own_ptr, own_good, own_qty = _one_more(
        inst.batch_need_ptr, inst.batch_good, inst.batch_qty, np.flatnonzero(wait), good
    )

    def more(values: Ints, *one: int) -> Ints:
        return np.append(values, one).astype(np.int64)

    return inst._replace(
        need_first=_taken_first(inst, jobs),
        good_run=more(inst.good_run, -1), good_stock=more(inst.good_stock, 0), good_need=more(inst.good_need, 0),
        good_count_shots=more(inst.good_count_shots, 0), good_rest_s=more(inst.good_rest_s, 0),
        first_source=more(inst.first_source, 0) if inst.first_source.size else inst.first_source,
        last_source=more(inst.last_source, 0) if inst.last_source.size else inst.last_source,
        piece_ptr=more(inst.piece_ptr, inst.piece_t.size + 1), piece_t=more(inst.piece_t, known),
        piece_count=more(inst.piece_count, NEVER),
        job_need_ptr=job_ptr, job_good=job_good, job_qty=job_qty,
        batch_need_ptr=own_ptr, batch_good=own_good, batch_qty=own_qty,
    )  # fmt: skip


def _taken_first(inst: Instance, jobs: Ints) -> Ints:
    """The bench that takes each need first, where some jobs have one need more: the first that works on the job."""
    if not inst.finishing:
        return inst.need_first
    works = np.vstack([inst.finish_work >= 0, np.ones((1, inst.finish_work.shape[1]), dtype=np.bool_)])
    return np.insert(inst.need_first, inst.job_need_ptr[jobs + 1], works.argmax(axis=0)[jobs])


def _one_more(ptr: Ints, goods: Ints, amounts: Ints, rows: Ints, good: int) -> tuple[Ints, Ints, Ints]:
    """Needs by row, with one of `good` more in some of the rows."""
    at = ptr[rows + 1]
    added = np.zeros(ptr.size, dtype=np.int64)
    added[rows + 1] = 1
    return ptr + np.cumsum(added), np.insert(goods, at, good), np.insert(amounts, at, 1)


def world_of(inst: Instance, names: Names, thing: Thing, turn: Turn) -> World:
    """The compiled campaign in which the thing has turned out so and all else is as likely."""
    ready = inst.tool_ready.copy()
    supply, piece = np.zeros(len(names.materials), dtype=np.int64), np.zeros(len(names.goods), dtype=np.int64)
    days = ready_days(turned_out(names.campaign, thing, turn))
    kinds = {"resin": "resin", "colour": "masterbatch"}
    for (kind, name), late in turn.later.items():
        if kind == "tool":
            at = days[name]
            assert at is not None
            ready[names.tools.index(name)] = max(0, names.clock.seconds(at))
        elif kind == "piece":
            piece[names.goods.index(name)] = late * DAY_S
        elif (kinds[kind], name) in names.materials:
            supply[names.materials.index((kinds[kind], name))] = late * DAY_S  # type: ignore[arg-type]
    look = look_of(inst, names, turn.recipes)
    there = inst._replace(
        tool_ready=ready,
        supply_t=_later(inst.supply_ptr, inst.supply_t, supply),
        piece_t=_later(inst.piece_ptr, inst.piece_t, piece),
        **look,
    )
    return World(turn, there, supply, piece, look)


def _later(ptr: Ints, moments: Ints, late: Ints) -> Ints:
    """Supplies that come so much later; the first of each is what is in hand, which does not move."""
    found = moments.copy()
    for n in np.flatnonzero(late):
        found[ptr[n] + 1 : ptr[n + 1]] += late[n]
    return found


def rows_in(scenarios: Scenarios, rows: Ints, branch: Branch) -> Scenarios:
    """Some of the scenarios, counted from a branch's world."""
    told, moved = scenarios.rows(rows), dict[str, Any]()
    goods = branch.inst.good_run.size
    if len(told.supply_s):
        moved["supply_s"] = told.supply_s - branch.world.supply_s
    if len(told.piece_s):
        moved["piece_s"] = _wide(told.piece_s - branch.world.piece_s, goods)
    if len(told.counting):
        moved["counting"] = _wide(told.counting, goods)
    return told._replace(**moved)


def _wide(rows: Ints, goods: int) -> Ints:
    """With a column of nothing for a good that no scenario speaks of."""
    return np.ascontiguousarray(np.pad(rows, ((0, 0), (0, goods - rows.shape[1]))))


def through_branches(
    branched: Branched, turned: Ints, scenarios: Scenarios, policy: Policy, groups: Ints, threads: int = 1
) -> Replications:
    """Follow in each scenario the branch of how the thing turns out there. turned (K): number of that turn."""
    number, several = scenarios.number, int(groups.max(initial=0)) + 1
    cost = np.full(number, np.inf)
    packed = np.full((number, several), NEVER, dtype=np.int64)
    pickup = np.full((number, several), -1, dtype=np.int32)
    moulded = np.full(number, NEVER, dtype=np.int64)
    planned = np.inf
    for n, branch in enumerate(branched.branches):
        rows = np.flatnonzero(turned == n)
        told = rows_in(scenarios, rows, branch)
        done = replicated(branch.inst, branch.solution, told, policy, groups, min(threads, max(1, rows.size)))
        cost[rows], packed[rows], pickup[rows] = done.cost, done.packed, done.pickup
        moulded[rows] = done.moulded
        planned = done.planned if n == 0 else planned
    return Replications(cost, packed, pickup, moulded, planned)


def same_order(branched: Branched, inst: Instance, solution: Solution) -> Branched:
    """Branches that all keep the plan's own order and wait for nothing: what is right either way."""
    own = tuple(Branch(one.world, _as_in(inst, one.world), solution) for one in branched.branches)
    return Branched(branched.thing, branched.known, branched.common, own, True)


def as_taken(held: Instance, solution: Solution, world: World, policy: Policy) -> Solution:
    """The order in which work is done where a plan made for its first world is followed in another: presses take what
    is ready where they do, benches what is there."""
    told = Scenarios(
        1,
        ready=world.inst.tool_ready[None, :].copy(),
        supply_s=world.supply_s[None, :].copy(),
        piece_s=_wide(world.piece_s[None, :], held.good_run.size),
    )
    now = follow_through(held, solution, told, policy=policy).planned.now
    return Solution(now.seq.copy(), now.length.copy(), now.order.copy())


def _as_in(inst: Instance, world: World) -> Instance:
    """An instance's lots in a world."""
    there = world.inst
    return inst._replace(
        tool_ready=there.tool_ready, supply_t=there.supply_t, piece_t=there.piece_t, **world.look
    )  # fmt: skip


def in_each_world(
    inst: Instance, names: Names, thing: Thing, orders: Sequence[tuple[Instance, Solution]]
) -> list[tuple[World, Instance, Solution]]:
    """For each turn its world, and an order of work with its lots in that world."""
    worlds = [world_of(inst, names, thing, turn) for turn in thing.turns]
    return [(world, _as_in(own, world), plan) for world, (own, plan) in zip(worlds, orders, strict=True)]
