"""Benches, batches of parcels and pick-ups, as arrays of an Instance."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.demand.carriers import takers
from planner.demand.parcels import Batch
from planner.schedule.encode.arrays import ints, pointers, whole_seconds
from planner.schedule.encode.bench_hours import bench_hours
from planner.schedule.encode.goods import Goods
from planner.schedule.encode.leaving import every_pickup

NO_PROMISE = 10**7
"""A day number no dispatch reaches."""


def bench_fields(campaign: Campaign, clock: Clock, days: int, work: Mapping[str, bool]) -> dict[str, Any]:
    """Fields of an Instance: when assembly and packing are open, with how many people. work: whether there is any."""
    fields: dict[str, Any] = {}
    for short, bench in (("asm", campaign.assembly), ("pack", campaign.packing)):
        open_ = bench_hours(campaign, bench, clock, days, work[short])
        fields[f"{short}_start"] = ints(s.start for s in open_)
        fields[f"{short}_end"] = ints(s.end for s in open_)
        fields[f"{short}_people"] = ints(s.people for s in open_)
    return fields


def batch_fields(campaign: Campaign, batches: Sequence[Batch], goods: Goods) -> dict[str, Any]:
    """Fields of an Instance: the parcels of each batch, what packing takes, its promise, what lateness costs."""
    both = [(campaign.tiers[batch.tier], batch) for batch in batches]
    needs = [goods.packed(batch) for batch in batches]
    return {
        "batch_need_ptr": pointers(needs),
        "batch_good": ints(good for need in needs for good, _ in need),
        "batch_qty": ints(number for need in needs for _, number in need),
        "batch_work": ints(whole_seconds(tier.pack_minutes, batch.parcels) for tier, batch in both),
        "batch_parcels": ints(batch.parcels for batch in batches),
        "batch_due": ints(b.hand_over_by.toordinal() if b.hand_over_by else NO_PROMISE for b in batches),
        "batch_late_cost": np.array([t.late_cost_per_day * b.parcels * float(b.late_share) for t, b in both]),
        "batch_weight": np.array([float((10 - t.priority) * b.parcels * b.late_share) for t, b in both]),
    }


def pickup_fields(campaign: Campaign, clock: Clock, days: int) -> dict[str, Any]:
    """Fields of an Instance: every pick-up of every carrier."""
    picked = [second for second, _ in every_pickup(campaign, clock, days)]
    return {
        "pickup_t": ints(picked),
        "pickup_day": ints(clock.day(second).toordinal() for second in picked),
        "pickup_parcels": max(taker.pick_ups.parcels for taker in takers(campaign)),
    }
