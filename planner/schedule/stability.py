"""What it costs to go back on an order of work and on days that people were told.

Each run on another press or behind another run than announced has its price, and each day that the last parcel of a
tier leaves after the day announced. Money of the plan it is not: it is weighed beside it.
"""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.jit import inner
from planner.schedule.sequences import Sequences
from planner.schedule.timing import Timing

NOT_ANNOUNCED = -2
"""In the press's place: nobody was told of this lot."""


@inner
def runs_moved(inst: Instance, plan: Sequences, p: int) -> int:
    """Lots of press p of which people were told that they run elsewhere, or behind another lot."""
    moved = 0
    behind = -1
    for n in range(plan.length[p]):
        lot = plan.seq[p, n]
        told, told_behind = inst.announced_place[lot, 0], inst.announced_place[lot, 1]
        if told != NOT_ANNOUNCED and (told != p or told_behind != behind):
            moved += 1
        behind = lot
    return moved


@inner
def price_of_runs(inst: Instance, plan: Sequences) -> float:
    """Of all presses together."""
    moved = 0
    for p in range(plan.length.size):
        moved += runs_moved(inst, plan, p)
    return float(inst.moving_run * moved)


@inner
def price_of_days(inst: Instance, timing: Timing) -> float:
    """Of all tiers together, once it is known what leaves with which pick-up."""
    days = 0
    for tier in range(inst.announced_day.size):
        last = inst.announced_day[tier]
        for b in range(inst.announced_tier.size):
            if inst.announced_tier[b] == tier:
                last = max(last, inst.pickup_day[timing.batches[b, w.PICKUP]])
        days += last - inst.announced_day[tier]
    return float(inst.moving_day * days)
