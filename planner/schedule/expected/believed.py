"""The world as a workshop believes it to be at a moment of a scenario: what has shown itself, and the likely rest.

A tool, a delivery or a piece that is there is there. A tool that is not there is taken to come when it comes on average
over the scenarios in which it is not there by then either; a delivery as planned, or at once where that is past. How
long a tool takes to mount, a press to purge, and how fast and how well a run goes is known of what has begun; the rest,
and the benches, are as planned.
"""

from typing import NamedTuple

import numpy as np

from planner.schedule import timing as w
from planner.schedule.expected.scenarios import FINENESS, Scenarios, own_instance
from planner.schedule.instance import Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.packed import pack
from planner.schedule.timing import Timing


class Believed(NamedTuple):
    """The world, and what is known when it is written."""

    world: Instance
    begin: Ints  # (J) when each lot begins in the scenario, its changeover included
    end: Ints  # (J) when its press is free after it
    arrivals: Ints  # (T, K) moments at which a tool is ready over all scenarios, the soonest first
    runs: Ints  # (R) 1: begun somewhere
    pairs: Ints  # (P, R) 1: begun on that press
    tools: Ints  # (T) 1: mounted by now, or being mounted
    purged: Ints  # (P) 1: a changeover has begun


def believed_for(inst: Instance, scenarios: Scenarios) -> Believed:
    """Room for it."""
    presses, lots = inst.restart_s.size, inst.lot_run.size
    runs, tools = inst.run_tool.size, inst.tool_ready.size

    def zeros(*shape: int) -> Ints:
        return np.zeros(shape, dtype=np.int64)

    ready = np.sort(scenarios.ready.T, axis=1) if len(scenarios.ready) else zeros(tools, 0)
    world = own_instance(inst, scenarios, zeros(lots), True, inst.wish_cost)
    return pack(
        Believed(
            world, zeros(lots), zeros(lots), np.ascontiguousarray(ready), zeros(runs), zeros(presses, runs),
            zeros(tools), zeros(presses),
        )
    )  # fmt: skip


@inner
def believe(
    inst: Instance, own: Instance, scenarios: Scenarios, believed: Believed, timing: Timing, clock: int
) -> None:  # fmt: skip
    """Write the world as it is believed to be at that moment. timing: of the scenario, of which only what begins before
    the moment is looked at."""
    world = believed.world
    _begun(own, believed, timing, clock)
    for tool in range(world.tool_ready.size):
        ready = own.tool_ready[tool]
        world.tool_ready[tool] = ready if ready <= clock else _comes(inst, believed.arrivals, tool, clock)
    _come_in(world.supply_t, own.supply_t, inst.supply_t, clock)
    _come_in(world.piece_t, own.piece_t, inst.piece_t, clock)
    presses, runs = inst.shot_num.shape
    if scenarios.cycle.shape[0] > 0:
        for p in range(presses):
            for run in range(runs):
                known = believed.pairs[p, run] != 0
                world.shot_num[p, run] = own.shot_num[p, run] if known else inst.shot_num[p, run] * FINENESS
                world.startup_s[p, run] = own.startup_s[p, run] if known else inst.startup_s[p, run]
    if scenarios.run_shots.shape[0] > 0:
        for lot in range(world.lot_shots.size):
            known = believed.runs[inst.lot_run[lot]] != 0
            world.lot_shots[lot] = own.lot_shots[lot] if known else inst.lot_shots[lot]
        for good in range(world.good_count_shots.size):
            run = inst.good_run[good]
            known = run >= 0 and believed.runs[run] != 0
            world.good_count_shots[good] = own.good_count_shots[good] if known else inst.good_count_shots[good]
    if scenarios.mount.shape[0] > 0:
        for tool in range(world.mount_s.size):
            known = believed.tools[tool] != 0
            world.mount_s[tool] = own.mount_s[tool] if known else inst.mount_s[tool]
            world.insert_s[tool] = own.insert_s[tool] if known else inst.insert_s[tool]
    if scenarios.purge.shape[0] > 0:
        for p in range(presses):
            of = own if believed.purged[p] != 0 else inst
            _purges(world.purge_s, of.purge_s, p)
            _purges(world.hot_s, of.hot_s, p)
            _purges(world.compound_s, of.compound_s, p)
            _purges(world.hot_compound_s, of.hot_compound_s, p)


@inner
def _begun(own: Instance, believed: Believed, timing: Timing, clock: int) -> None:
    """Mark what has begun before a moment."""
    for run in range(believed.runs.size):
        believed.runs[run] = 0
    for p in range(believed.purged.size):
        believed.purged[p] = 0
        for run in range(believed.runs.size):
            believed.pairs[p, run] = 0
    for tool in range(believed.tools.size):
        believed.tools[tool] = 0
    for lot in range(believed.begin.size):
        if believed.begin[lot] >= clock:
            continue
        run, p = own.lot_run[lot], timing.lots[lot, w.PRESS]
        believed.runs[run] = 1
        believed.pairs[p, run] = 1
        believed.tools[own.run_tool[run]] = 1
        believed.purged[p] = 1


@inner
def _comes(inst: Instance, arrivals: Ints, tool: int, clock: int) -> int:
    """When a tool that is not there is taken to come."""
    total = many = 0
    for k in range(arrivals.shape[1] - 1, -1, -1):
        if arrivals[tool, k] <= clock:
            break
        total += arrivals[tool, k]
        many += 1
    return int(total // many) if many > 0 else int(max(inst.tool_ready[tool], clock + 1))


@inner
def _come_in(world: Ints, own: Ints, planned: Ints, clock: int) -> None:
    """Deliveries: what is there, and the rest as planned or at once."""
    for step in range(world.size):
        world[step] = own[step] if own[step] <= clock else max(planned[step], clock)


@inner
def _purges(world: Ints, of: Ints, p: int) -> None:
    if world.shape[0] <= p:
        return
    for b in range(world.shape[1]):
        for run in range(world.shape[2]):
            for melt in range(world.shape[3]):
                world[p, b, run, melt] = of[p, b, run, melt]
