"""Thousands of floors: the plan's order of work followed under each floor's luck, timed by the one exact evaluator.

Each floor is the compiled campaign with its luck written into it (ready days, shot times, shots until enough
parts are good, deliveries); everything that no luck touches is laid out once for all floors.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from planner.promise.quantiles import normal
from planner.promise.random_streams import uniforms
from planner.promise.scenarios import DAY_S, Luck
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.instance import NEVER, Floats, Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for

FINENESS = 1000
"""Shot times on a floor are rounded to this share of the plan's own unit."""

Rearrange = Callable[[int, Ints], Solution]
"""(floor, when each tool is ready there) -> the order of work on that floor."""


@dataclass(frozen=True)
class Floors:
    """What happened on each floor, by group of pack batches (G). NEVER where the floor could not be carried out.

    packed (floors, G): second at which the group's last batch is packed. pickup (floors, G): index of the pick-up it
    leaves with, -1 where never. moulded (floors): second at which the last run ends.
    """

    packed: Ints
    pickup: NDArray[np.int32]
    moulded: Ints


@dataclass(frozen=True)
class Written:
    """Each floor's luck as the campaign's arrays take it; None: as planned."""

    ready: Ints | None  # (floors, T)
    rate: Floats | None  # (floors, P, R) real shot time over planned
    counting: Ints | None  # (floors, G) shots until a moulded item has enough good parts
    run_shots: Ints | None  # (floors, R)
    supply_s: Ints | None  # (floors, K) seconds by which deliveries of a material move
    piece_s: Ints | None  # (floors, G)
    mount: Floats | None  # (floors, T) real time over planned
    purge: Floats | None  # (floors, P)
    assembly: Floats | None  # (floors)
    packing: Floats | None  # (floors)


def written(inst: Instance, names: Names, luck: Luck) -> Written:
    """Luck by name -> arrays by index."""
    shape = luck.floors
    ready = supply = piece = rate = None
    if luck.ready_days:
        ready = np.tile(inst.tool_ready, (shape, 1))
        for n, tool in enumerate(names.tools):
            if tool in luck.ready_days:
                ready[:, n] = np.maximum(0, inst.tool_ready[n] + np.rint(luck.ready_days[tool] * DAY_S))
    none, nothing = np.ones(shape), np.zeros(shape)
    if luck.cycle_share or luck.efficiency_share or luck.stops_share:
        press = np.stack(
            [luck.efficiency_share.get(p, none) * (1 - luck.stops_share.get(p, nothing)) for p in names.presses], axis=1
        )
        cycle = np.stack([luck.cycle_share.get(run.tool, none) for run in names.runs], axis=1)
        rate = cycle[:, None, :] / press[:, :, None]
    if luck.resin_days or luck.colour_days:
        supply = np.zeros((shape, len(names.materials)), dtype=np.int64)
        for n, (kind, name) in enumerate(names.materials):
            late = {"resin": luck.resin_days, "masterbatch": luck.colour_days}.get(kind, {}).get(name)
            if late is not None:
                supply[:, n] = np.rint(late * DAY_S)
    if luck.piece_days:
        piece = np.zeros((shape, len(names.goods)), dtype=np.int64)
        for n, good in enumerate(names.goods):
            if isinstance(good, str) and good in luck.piece_days:
                piece[:, n] = np.rint(luck.piece_days[good] * DAY_S)
    counting, run_shots = _shots(inst, names, luck) if luck.scrap_share else (None, None)
    mount = purge = None
    if luck.mount_share:
        mount = np.stack([luck.mount_share.get(tool, none) for tool in names.tools], axis=1)
    if luck.purge_share:
        purge = np.stack([luck.purge_share.get(press, none) for press in names.presses], axis=1)
    bench = luck.bench_share
    return Written(
        ready, rate, counting, run_shots, supply, piece, mount, purge, bench.get("assembly"), bench.get("packing")
    )


def _shots(inst: Instance, names: Names, luck: Luck) -> tuple[Ints, Ints]:
    """Shots until each item has its good parts, and of each run demand: those planned, or more until all have enough.

    The number of parts until the Q-th good one is negative binomial; here by its mean and deviation.
    """
    counting = np.tile(inst.good_count_shots, (luck.floors, 1))
    run_shots = np.tile(inst.run_shots, (luck.floors, 1))
    index = {good: n for n, good in enumerate(names.goods)}
    for r, run in enumerate(names.runs):
        scrap = luck.scrap_share.get(run.tool)
        if scrap is None:
            continue
        for item in run.items:
            if item.to_mould == 0:
                continue
            name = f"scrap of {item.part} {'/'.join(item.colours)}"
            z = normal(uniforms(luck.seed, name, luck.floors))
            good = item.to_mould + item.tests
            parts = (good + z * np.sqrt(good * scrap)) / (1 - scrap)
            shots = np.ceil(np.maximum(good, parts) / item.cavities).astype(np.int64)
            run_shots[:, r] = np.maximum(run_shots[:, r], shots)
            if item.item in index:
                counting[:, index[item.item]] = shots
    return counting, run_shots


def groups_of(names: Names) -> Ints:
    """(B) group of each pack batch: those alike in tier, region, contents and part, numbered in the batches' order."""
    keys = [(b.tier, b.region, b.units, b.pieces, b.part, b.parts) for b in names.batches]
    first = {key: n for n, key in enumerate(dict.fromkeys(keys))}
    return np.array([first[key] for key in keys], dtype=np.int64)


def simulate(
    inst: Instance,
    names: Names,
    solution: Solution,
    luck: Luck,
    threads: int = 1,
    rearrange: Rearrange | None = None,
) -> Floors:
    """Follow the order of work on every floor. rearrange: the floor's own order instead."""
    luck_written = written(inst, names, luck)
    groups = groups_of(names)
    starts = np.flatnonzero(np.diff(groups, prepend=-1))
    found = Floors(
        np.full((luck.floors, starts.size), NEVER, dtype=np.int64),
        np.full((luck.floors, starts.size), -1, dtype=np.int32),
        np.full(luck.floors, NEVER, dtype=np.int64),
    )
    last_lot = _last_lots(inst, solution)
    cuts = [luck.floors * n // threads for n in range(threads + 1)]

    def some(n: int) -> None:
        _follow(inst, solution, luck_written, last_lot, starts, found, range(cuts[n], cuts[n + 1]), rearrange)

    if threads == 1:
        some(0)
    else:
        with ThreadPoolExecutor(threads) as pool:
            list(pool.map(some, range(threads)))
    return found


def _last_lots(inst: Instance, solution: Solution) -> Ints:
    """(R) the lot of each demand that ends last as planned: extra shots go onto it."""
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    last = np.zeros(inst.run_tool.size, dtype=np.int64)
    for lot in np.argsort(timing.lots[:, w.END], kind="stable"):
        last[inst.lot_run[lot]] = lot
    return last


def _follow(
    inst: Instance,
    solution: Solution,
    luck: Written,
    last_lot: Ints,
    starts: Ints,
    found: Floors,
    floors: range,
    rearrange: Rearrange | None,
) -> None:
    own = _of_its_own(inst)
    packed, timing = packed_instance(own), timing_for(inst)
    num, den = inst.shot_num.astype(np.float64) * FINENESS, inst.shot_den * FINENESS
    rated = np.empty_like(num)
    if luck.rate is not None:
        own.shot_den[:] = den
    of_supply = np.repeat(np.arange(inst.supply_ptr.size - 1), np.diff(inst.supply_ptr))
    of_piece = np.repeat(np.arange(inst.piece_ptr.size - 1), np.diff(inst.piece_ptr))
    # the first step of each supply is what is in hand: it does not move
    later_supply = ~np.isin(np.arange(inst.supply_t.size), inst.supply_ptr)
    later_piece = ~np.isin(np.arange(inst.piece_t.size), inst.piece_ptr)

    ways = ("purge_s", "hot_s", "compound_s", "hot_compound_s")
    purged = [(getattr(own, way), getattr(inst, way)) for way in ways if getattr(inst, way).any()]
    scratch = np.empty(inst.purge_s.shape)

    for floor in floors:
        if luck.ready is not None:
            own.tool_ready[:] = luck.ready[floor]
        if luck.rate is not None:
            np.multiply(num, luck.rate[floor], out=rated)
            np.rint(rated, out=rated)
            own.shot_num[:] = rated
            # whole numbers far below 2^53, so that the division says when it comes out even
            np.multiply(rated, inst.startup_shots, out=rated)
            np.ceil(np.divide(rated, den, out=rated), out=rated)
            own.startup_s[:] = rated
        if luck.counting is not None and luck.run_shots is not None:
            own.good_count_shots[:] = luck.counting[floor]
            own.lot_shots[:] = inst.lot_shots
            own.lot_shots[last_lot] += luck.run_shots[floor] - inst.run_shots
        if luck.supply_s is not None:
            own.supply_t[:] = np.maximum(0, inst.supply_t + later_supply * luck.supply_s[floor, of_supply])
        if luck.piece_s is not None:
            own.piece_t[:] = np.maximum(0, inst.piece_t + later_piece * luck.piece_s[floor, of_piece])
        if luck.mount is not None:
            own.mount_s[:] = np.rint(inst.mount_s * luck.mount[floor])
        if luck.purge is not None:
            times = luck.purge[floor][:, None, None, None]
            for real, planned in purged:
                np.rint(planned * times, out=scratch)
                real[:] = scratch
        if luck.assembly is not None:
            own.job_work[:] = np.ceil(inst.job_work * luck.assembly[floor])
        if luck.packing is not None:
            own.batch_work[:] = np.ceil(inst.batch_work * luck.packing[floor])
        order = solution if rearrange is None else rearrange(floor, own.tool_ready)
        if objective_of(packed, order, timing) < np.inf:
            found.packed[floor] = np.maximum.reduceat(timing.batches[:, w.ENDED], starts)
            found.pickup[floor] = np.maximum.reduceat(timing.batches[:, w.PICKUP], starts)
            found.moulded[floor] = timing.lots[:, w.END].max()


def _of_its_own(inst: Instance) -> Instance:
    """The campaign with copies of the arrays that luck is written into."""

    def own(array: Ints) -> Ints:
        return np.array(array, dtype=np.int64, order="C")

    return inst._replace(
        tool_ready=own(inst.tool_ready), good_count_shots=own(inst.good_count_shots), lot_shots=own(inst.lot_shots),
        shot_num=own(inst.shot_num), shot_den=own(inst.shot_den), startup_s=own(inst.startup_s),
        supply_t=own(inst.supply_t), piece_t=own(inst.piece_t), mount_s=own(inst.mount_s),
        purge_s=own(inst.purge_s), hot_s=own(inst.hot_s), compound_s=own(inst.compound_s),
        hot_compound_s=own(inst.hot_compound_s), job_work=own(inst.job_work), batch_work=own(inst.batch_work),
    )  # fmt: skip


def threads_for(cores: int, floors: int) -> int:
    """How many threads are worth starting."""
    return max(1, min(cores, ceil(floors / 200)))
