"""A plan's order of work followed through thousands of scenarios, timed by the one exact evaluator.

Each scenario is the compiled campaign with what turned out written into it: ready days, shot times, shots until enough
parts are good, deliveries. The loop over them is compiled (`planner/schedule/expected/replicate.py`).
"""

from math import ceil
from typing import Any

import numpy as np

from planner.campaign.melts import melt_price
from planner.demand.scrap import spoilt
from planner.promise.quantiles import normal
from planner.promise.random_streams import uniforms
from planner.promise.scenarios import DAY_S, FactorDraws
from planner.schedule.encode import Names
from planner.schedule.encode.goods import MadeWith
from planner.schedule.expected.replicate import Replications
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Floats, Instance, Ints
from planner.settled import things
from planner.settled.looks import ByOutcome
from planner.settled.recipes import dearer_by


def _by_column(columns: list[Floats], number: int) -> Floats:
    """One column each; none where there is nothing to have one, as where stock covers all and nothing is moulded."""
    return np.stack(columns, axis=1) if columns else np.ones((number, 0))


def written(inst: Instance, names: Names, drawn: FactorDraws, looks: ByOutcome | None = None) -> Scenarios:
    """What was drawn, by name -> arrays by index. looks: of the campaign, where they are worked out before."""
    number = drawn.replications
    parts: dict[str, Any] = {}
    if drawn.ready_days:
        ready = np.tile(inst.tool_ready, (number, 1))
        for n, tool in enumerate(names.tools):
            if tool in drawn.ready_days:
                ready[:, n] = np.maximum(0, inst.tool_ready[n] + np.rint(drawn.ready_days[tool] * DAY_S))
        parts["ready"] = ready
    none, nothing = np.ones(number), np.zeros(number)
    if drawn.cycle_share or drawn.efficiency_share or drawn.stops_share:
        press = [drawn.efficiency_share.get(p, none) * (1 - drawn.stops_share.get(p, nothing)) for p in names.presses]
        parts["press"] = _by_column(press, number)
        parts["cycle"] = _by_column([drawn.cycle_share.get(run.tool, none) for run in names.runs], number)
    if drawn.resin_days or drawn.colour_days:
        supply = np.zeros((number, len(names.materials)), dtype=np.int64)
        for n, (kind, name) in enumerate(names.materials):
            late = {"resin": drawn.resin_days, "masterbatch": drawn.colour_days}.get(kind, {}).get(name)
            if late is not None:
                supply[:, n] = np.rint(late * DAY_S)
        parts["supply_s"] = supply
    if drawn.piece_days:
        piece = np.zeros((number, len(names.goods)), dtype=np.int64)
        for n, good in enumerate(names.goods):
            if isinstance(good, str) and good in drawn.piece_days:
                piece[:, n] = np.rint(drawn.piece_days[good] * DAY_S)
        parts["piece_s"] = piece
    if drawn.scrap_share:
        parts["counting"], parts["run_shots"] = _shots(inst, names, drawn)
    if drawn.mount_share:
        parts["mount"] = np.stack([drawn.mount_share.get(tool, none) for tool in names.tools], axis=1)
    if drawn.purge_share:
        parts["purge"] = np.stack([drawn.purge_share.get(press, none) for press in names.presses], axis=1)
    for bench in drawn.bench_share:
        parts[bench] = drawn.bench_share[bench]
    if drawn.carrier_days is not None:
        parts["carrier"] = np.rint(drawn.carrier_days).astype(np.int64)
    parts["extra_cost"] = _on_top(inst, names, drawn, parts)
    parts["look"], all_looks = (looks or ByOutcome(inst, names)).told(drawn.turned)
    return Scenarios(number, **{name: np.ascontiguousarray(rows) for name, rows in parts.items()}, looks=all_looks)


def _on_top(inst: Instance, names: Names, drawn: FactorDraws, parts: dict[str, Any]) -> Floats:
    """Money that a scenario costs on top whatever the order of work: melt of extra shots, and work at the benches."""
    campaign, money = names.campaign, drawn.extra_cost.copy()
    for thing in things(campaign):
        if thing.id in drawn.turned:
            money += np.array([dearer_by(inst, names, turn) for turn in thing.turns])[drawn.turned[thing.id]]
    if "run_shots" in parts:
        price = np.array([melt_price(campaign, melt) for melt in names.melts])
        shot = (inst.shot_kg * price[inst.run_melt.clip(min=0)] * (inst.run_melt >= 0)).sum(axis=1)
        more = parts["run_shots"] - inst.run_shots
        money += more @ shot
        if inst.charging:  # what the pieces of a planned shot cost at least stands in the plan already
            money += more @ inst.shot_charge_least
    for name, bench, work in (
        ("assembly", campaign.assembly, inst.job_work), ("packing", campaign.packing, inst.batch_work)
    ):  # fmt: skip
        if name in parts:
            money += (parts[name] - 1) * float(work.sum()) / 3600 * bench.rate_per_hour
    return money


def _shots(inst: Instance, names: Names, drawn: FactorDraws) -> tuple[Ints, Ints]:
    """Shots until each item has its good parts, and of each run demand: those planned, or more until all have enough.

    The number of parts until the Q-th good one is negative binomial; here by its mean and deviation.
    """
    counting = np.tile(inst.good_count_shots, (drawn.replications, 1))
    run_shots = np.tile(inst.run_shots, (drawn.replications, 1))
    index = {good: n for n, good in enumerate(names.goods)}
    for r, run in enumerate(names.runs):
        scrap = drawn.scrap_share.get(run.tool)
        if scrap is None:
            continue
        for item in run.items:
            if item.to_mould == 0:
                continue
            name = f"scrap of {item.part} {'/'.join(item.colours)}" + (f" with {run.tool}" if item.shared else "")
            z = normal(uniforms(drawn.seed, name, drawn.replications))
            asked = item.to_mould + item.tests
            spoils = spoilt(names.campaign, item.part)
            bad = 1 - (1 - scrap) * (1 - spoils) if spoils else scrap
            parts = (asked + z * np.sqrt(asked * bad)) / (1 - bad)
            shots = np.ceil(np.maximum(asked, parts) / item.cavities).astype(np.int64)
            run_shots[:, r] = np.maximum(run_shots[:, r], shots)
            good = MadeWith(item.item, run.tool) if item.shared else item.item
            if good in index:
                counting[:, index[good]] = shots
    return counting, run_shots


def groups_of(names: Names) -> Ints:
    """(B) group of each pack batch: those alike in tier, region, contents, part and day by which they should leave,
    numbered in the batches' order."""
    keys = [(b.tier, b.region, b.units, b.pieces, b.part, b.parts, b.hand_over_by) for b in names.batches]
    first = {key: n for n, key in enumerate(dict.fromkeys(keys))}
    return np.array([first[key] for key in keys], dtype=np.int64)


def joined(first: Replications, then: Replications) -> Replications:
    """Of one plan, one after the other."""
    return Replications(
        np.concatenate((first.cost, then.cost)),
        np.concatenate((first.packed, then.packed)),
        np.concatenate((first.pickup, then.pickup)),
        np.concatenate((first.moulded, then.moulded)),
        first.planned,
    )


def threads_for(cores: int, replications: int) -> int:
    """How many threads are worth starting."""
    return max(1, min(cores, ceil(replications / 200)))
