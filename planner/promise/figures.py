"""From simulated floors to dates: quantiles by tier and order group, chances, the day to announce."""

from collections import defaultdict
from datetime import date

import numpy as np

from planner.campaign.planning import Policy
from planner.campaign.products import Tier
from planner.demand.parcels import Batch
from planner.promise.base_rate import BASE_RATE
from planner.promise.document import Dates, GroupPromise, LeastLoss, Promise, RegionPromise, TierPromise
from planner.promise.replications import groups_of
from planner.promise.said import left_out, taken
from planner.promise.scenarios import Luck
from planner.promise.sensitivity import drivers
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.expected.replicate import Replications
from planner.schedule.instance import NEVER, Bools, Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for

FAR = np.iinfo(np.int64).max // 2


def quantile_day(days: Ints, share: float) -> date | None:
    """The first day by which at least that share of floors is done; None: not that many ever are."""
    day = np.sort(days)[max(0, int(np.ceil(share * days.size - 1e-9)) - 1)]
    return None if day >= FAR else date.fromordinal(int(day))


def promise(
    inst: Instance,
    names: Names,
    solution: Solution,
    luck: Luck,
    floors: Replications,
    confidence: float,
    policy: Policy,
) -> Promise:
    """Read a promise off the floors."""
    groups = groups_of(names)
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    day_of = np.append(inst.pickup_day, FAR)  # -1: never
    days = day_of[floors.pickup]
    if luck.carrier_days is not None:
        days = np.where(days < FAR, days + np.rint(luck.carrier_days).astype(np.int64)[:, None], days)
    planned = inst.pickup_day[timing.batches[:, w.PICKUP]]
    by_group: dict[int, list[Batch]] = defaultdict(list)
    for batch, group in zip(names.batches, groups, strict=True):
        by_group[int(group)].append(batch)
    planned_of = [int(planned[groups == g].max()) for g in by_group]

    in_time = np.ones(luck.floors, dtype=np.bool_)
    tiers = []
    for tier_id, tier in names.campaign.tiers.items():
        own = [g for g, batches in by_group.items() if batches[0].tier == tier_id]
        if not own:
            continue
        last = days[:, own].max(axis=1)
        met = _in_time(days, [(g, by_group[g]) for g in own])
        if met is not None:
            in_time &= met
        tiers.append(
            TierPromise(
                tier=tier_id,
                parcels=sum(b.parcels for g in own for b in by_group[g]),
                promised=_last_due([b for g in own for b in by_group[g]]),
                chance=None if met is None else float(met.mean()),
                dates=_dates(last, max(planned_of[g] for g in own)),
                announce=quantile_day(last, confidence),
                least_loss=least_loss(last, tier),
                regions=[
                    _region(region, tier, mine, days, planned_of, confidence)
                    for region, mine in _by_region(own, by_group).items()
                ],
                drivers=drivers(luck.factors, floors.packed[:, own].max(axis=1)),
            )
        )
    promised = any(t.chance is not None for t in tiers)
    return Promise(
        floors=luck.floors,
        seed=luck.seed,
        policy=policy,
        confidence=confidence,
        basis="common case" if luck.common else "as given",
        taken=taken(names.campaign) if luck.common else [],
        left_out=left_out(names.campaign),
        not_done=float((floors.moulded >= NEVER).mean()),
        on_time=float(in_time.mean()) if promised else None,
        tiers=tiers,
        groups=[_group(names, batches, days[:, g], planned_of[g]) for g, batches in by_group.items()],
        base_rate=BASE_RATE,
    )


def least_loss(days: Ints, tier: Tier) -> LeastLoss | None:
    """The day to announce at the critical fractile: the least mean of what parcels cost that leave after it and of what
    days cost that are announced and not needed (Arrow, Harris, Marschak, Econometrica 19(3) 1951, from memory: the
    newsvendor's problem). None where the campaign gives no price."""
    late, early = tier.late_cost_per_day, tier.early_cost_per_day
    if early is None or late + early <= 0:
        return None
    fractile = late / (late + early)
    day = quantile_day(days, fractile)
    if day is None:
        return LeastLoss(day=None, fractile=fractile, expected_loss=None)
    off = days - day.toordinal()
    loss = float(np.where(off > 0, late * off, -early * off).mean()) if (days < FAR).all() else None
    return LeastLoss(day=day, fractile=fractile, expected_loss=loss)


def _by_region(own: list[int], by_group: dict[int, list[Batch]]) -> dict[str, list[tuple[int, list[Batch]]]]:
    """The groups of a tier by region, as they come."""
    found: dict[str, list[tuple[int, list[Batch]]]] = defaultdict(list)
    for group in own:
        found[by_group[group][0].region].append((group, by_group[group]))
    return found


def _last_due(batches: list[Batch]) -> date | None:
    """The day by which the last of a tier's parcels should have left; None where some are promised for no day."""
    due = [batch.hand_over_by for batch in batches if batch.hand_over_by is not None]
    return max(due) if len(due) == len(batches) else None


def _in_time(days: Ints, mine: list[tuple[int, list[Batch]]]) -> Bools | None:
    """(K) whether all groups that are promised a day leave by it; None where none is. days (K, groups)."""
    due = [
        (g, min(b.hand_over_by for b in batches if b.hand_over_by)) for g, batches in mine if batches[0].hand_over_by
    ]
    if not due:
        return None
    kept: Bools = np.all([days[:, g] <= day.toordinal() for g, day in due if day is not None], axis=0)
    return kept


def _region(
    region: str, tier: Tier, mine: list[tuple[int, list[Batch]]], days: Ints, planned_of: list[int], confidence: float
) -> RegionPromise:
    last, met = days[:, [g for g, _ in mine]].max(axis=1), _in_time(days, mine)
    return RegionPromise(
        region=region,
        parcels=sum(b.parcels for _, batches in mine for b in batches),
        chance=None if met is None else float(met.mean()),
        dates=_dates(last, max(planned_of[g] for g, _ in mine)),
        announce=quantile_day(last, confidence),
        least_loss=least_loss(last, tier),
    )


def _dates(days: Ints, planned: int) -> Dates:
    return Dates(
        planned=date.fromordinal(planned),
        p50=quantile_day(days, 0.5),
        p80=quantile_day(days, 0.8),
        p95=quantile_day(days, 0.95),
    )


def _group(names: Names, batches: list[Batch], days: Ints, planned: int) -> GroupPromise:
    contents: dict[str, dict[str, int]] = defaultdict(dict)
    for (product, colourway), units in batches[0].units:
        contents[product][colourway] = units
    met = _in_time(days[:, None], [(0, batches)])
    return GroupPromise(
        tier=batches[0].tier,
        region=batches[0].region,
        part=batches[0].part,
        parts=batches[0].parts,
        contents=dict(contents),
        parcels=sum(b.parcels for b in batches),
        chance=None if met is None else float(met.mean()),
        dates=_dates(days, planned),
    )
