"""Dryers as arrays: what each run draws from which, and when somebody is there to load them."""

from bisect import bisect_right
from collections.abc import Sequence
from math import ceil, inf

import numpy as np

from planner.calendars.clock import Clock
from planner.calendars.stretches import stretches
from planner.campaign import Campaign
from planner.campaign.dryer_rate import BEFORE_LEAVING_S, dryer_of, window_seconds
from planner.demand.items import RunDemand
from planner.schedule.encode.arrays import fraction, ints, whole_seconds
from planner.schedule.instance import Instance


def with_dryers(
    inst: Instance,
    campaign: Campaign,
    presses: list[str],
    runs: list[RunDemand],
    dryers: list[str],
    clock: Clock,
    days: int,
) -> Instance:
    """The instance with the dryers that decide when a run may begin; as it is where there are none."""
    index = {dryer: n for n, dryer in enumerate(dryers)}
    if not index:
        return inst
    shape = (len(runs), 2)
    run_dryer, dry_s, window_s = (np.full(shape, fill, dtype=np.int64) for fill in (-1, 0, 0))
    holds = np.full(shape, inf)
    rate, startups, again = (np.zeros((len(presses), *shape)) for _ in range(3))
    there = _there(campaign, clock, days)
    openings: dict[tuple[int, int], int] = {}
    for r, run in enumerate(runs):
        for b, melt in enumerate(run.melts):
            resin = melt.rsplit("/", 1)[0]
            dryer = dryer_of(campaign, resin)
            if dryer is None or dryer not in index:
                continue
            terms = campaign.resins[resin]
            run_dryer[r, b] = index[dryer]
            dry_s[r, b] = ceil(fraction(terms.drying_hours) * 3600)
            window_s[r, b] = window_seconds(campaign, resin)
            holds[r, b] = inf if terms.dryer_kg is None else terms.dryer_kg
            resin_share = 1 - inst.melt_master_share[inst.run_melt[r, b]]
            for p in range(len(presses)):
                shot_kg = inst.shot_kg[r, b] * resin_share
                at = p, int(dry_s[r, b])
                if at not in openings:
                    openings[at] = _openings(inst, p, there, at[1])
                rate[p, r, b] = shot_kg * inst.shot_den[p, r] / inst.shot_num[p, r]
                startups[p, r, b] = inst.startup_shots[r] * shot_kg * (1 + openings[at])
                if inst.clearing:
                    again[p, r, b] = inst.opening_kg[p, r, b] * resin_share * openings[at]
    minutes, setter = campaign.floor.dryer_cleaning_minutes, campaign.floor.setter_rate_per_hour
    return inst._replace(
        dryers=len(index),
        run_dryer=run_dryer,
        dryer_holds=holds,
        dry_s=dry_s,
        dry_window_s=window_s,
        draw_kg_s=rate,
        draw_startups_kg=startups,
        draw_again_kg=again,
        dryer_clean_s=whole_seconds(minutes),
        dryer_clean_cost=whole_seconds(minutes) / 3600 * setter,
        there_start=ints(start for start, _ in there),
        there_last=ints(last for _, last in there),
    )


def _there(campaign: Campaign, clock: Clock, days: int) -> list[tuple[int, int]]:
    """From when to when dryers can be loaded, some minutes before people leave; empty: always."""
    if campaign.floor.attended is None:
        return []
    shifts = stretches(campaign.floor.attended, campaign.closed_days, clock, days)
    return [(s.start, max(s.start, s.end - BEFORE_LEAVING_S)) for s in shifts]


def _openings(inst: Instance, p: int, there: Sequence[tuple[int, int]], dry_s: int) -> int:
    """Most openings of a press at which a run restarts on one filling."""
    opens = inst.open_start[inst.open_ptr[p] : inst.open_ptr[p + 1]].tolist()
    starts = [start for start, _ in there]
    most = 1
    for n, opened in enumerate(opens):
        since = opened - dry_s
        if there:
            k = bisect_right(starts, since) - 1
            since = -1 if k < 0 else min(since, there[k][1])
        most = max(most, n + 1 - bisect_right(opens, since))
    return most
