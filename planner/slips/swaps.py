"""Two runs that change places on a press: all tried on the compiled plan, the best of them offered as levers."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.campaign import Campaign
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.plan.wishes import as_kept
from planner.schedule import timing as w
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import Timing, timing_for

FURTHEST = 6
"""Places over which two runs change: further off every run between them would start at another time anyway."""
MOST_TRIED = 1000
MOST_EACH = 2
"""Offered for each of: earlier, less waste, cheaper."""


@dataclass(frozen=True)
class Swap:
    """Runs at two places of a press changed. first: what then begins on it, up to the later of the two places.

    cost, kg: more than before. days: tier -> days its last parcel leaves earlier, all other things kept.
    """

    press: str
    goes_first: tuple[str, tuple[str, ...]]
    goes_later: tuple[str, tuple[str, ...]]
    first: list[tuple[str, tuple[str, ...]]]
    cost: float
    kg: float
    days: dict[str, int]


def swaps(campaign: Campaign, plan: RunPlan, tier: str | None = None) -> list[Swap]:
    """The swaps worth planning: those that bring `tier` (none: all together) forward, cut waste, or cost less."""
    inst, names = compile_campaign(as_kept(campaign, plan))
    ours, solution = followed(inst, names, order_of(plan))
    tried = list(_tried(ours, names, solution))

    def earlier(swap: Swap) -> int:
        return sum(days for name, days in swap.days.items() if tier is None or name == tier)

    sooner = sorted((s for s in tried if earlier(s) > 0), key=lambda s: (max(0.0, s.cost) / earlier(s), s.cost))
    cleaner = sorted((s for s in tried if s.kg < -0.05), key=lambda s: (s.cost, s.kg))
    cheaper = sorted((s for s in tried if s.cost < -0.5), key=lambda s: s.cost)
    best = [swap for kind in (sooner, cleaner, cheaper) for swap in kind[:MOST_EACH]]
    return [swap for n, swap in enumerate(best) if swap not in best[:n]]


def _tried(inst: Instance, names: Names, solution: Solution) -> Iterator[Swap]:
    arrays, timing = packed_instance(inst), timing_for(inst)
    if objective_of(arrays, solution, timing) == np.inf:
        return
    before = _figures(inst, names, timing)
    for n, (p, i, j) in enumerate(_pairs(inst, solution)):
        if n >= MOST_TRIED:
            return
        swap = _swap(inst, names, solution, (p, i, j), (arrays, timing), before)
        if swap is not None:
            yield swap


def _pairs(inst: Instance, solution: Solution) -> Iterator[tuple[int, int, int]]:
    """Press and two places, neighbours first; only where the press makes all of each run up to there in one go."""
    lots = solution.lots()
    whole = inst.lot_shots == inst.run_shots[inst.lot_run]
    for apart in range(1, FURTHEST + 1):
        for p, own in enumerate(lots):
            for i in range(int(inst.pinned[p]), len(own) - apart):
                if whole[own[: i + apart + 1]].all():
                    yield p, i, i + apart


def _swap(
    inst: Instance,
    names: Names,
    solution: Solution,
    places: tuple[int, int, int],
    room: tuple[Instance, Timing],
    before: tuple[float, float, Ints],
) -> Swap | None:
    p, i, j = places
    trial = solution.copy()
    trial.seq[p, i], trial.seq[p, j] = solution.seq[p, j], solution.seq[p, i]
    if not allowed(inst, trial) or objective_of(room[0], trial, room[1]) == np.inf:
        return None
    cost, kg, days = _figures(inst, names, room[1])
    runs = [names.runs[int(inst.lot_run[lot])] for lot in trial.seq[p, : j + 1]]
    first = [(run.tool, tuple(run.colours)) for run in runs]
    tiers = list(names.campaign.tiers)
    earlier = {tier: int(before[2][n] - days[n]) for n, tier in enumerate(tiers)}
    return Swap(names.presses[p], first[i], first[j], first, cost - before[0], kg - before[1], earlier)


def _figures(inst: Instance, names: Names, timing: Timing) -> tuple[float, float, Ints]:
    """Cost, kg of purge and start-up, and the day each tier's last parcel leaves."""
    leaves = inst.pickup_day[timing.batches[:, w.PICKUP]]
    tiers = [batch.tier for batch in names.batches]
    last = [max((int(d) for d, t in zip(leaves, tiers, strict=True) if t == tier), default=0) for tier in
            names.campaign.tiers]  # fmt: skip
    kg = float(timing.totals[w.PURGE_TOTAL_KG] + timing.totals[w.STARTUP_TOTAL_KG])
    return float(timing.totals[w.COST]), kg, np.array(last, dtype=np.int64)
