"""From replications to dates: quantiles by tier and order group, chances, the day to announce."""

from collections import defaultdict
from datetime import date

import numpy as np

from planner.campaign.planning import Policy
from planner.campaign.products import Tier
from planner.demand.parcels import Batch
from planner.promise.base_rate import BASE_RATE
from planner.promise.document import AtTheDoor, Dates, GroupPromise, LeastLoss, Promise, RegionPromise, TierPromise
from planner.promise.doors import Ways
from planner.promise.replications import groups_of
from planner.promise.said import left_out, taken
from planner.promise.scenarios import FactorDraws
from planner.promise.sensitivity import strongest
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.expected.replicate import Replications
from planner.schedule.instance import NEVER, Bools, Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import timing_for

FAR = np.iinfo(np.int64).max // 2


def quantile_day(days: Ints, share: float) -> date | None:
    """The first day by which at least that share of replications is done; None: not that many ever are."""
    return _day_in(np.sort(days), share)


def _day_in(ordered: Ints, share: float) -> date | None:
    day = ordered[max(0, int(np.ceil(share * ordered.size - 1e-9)) - 1)]
    return None if day >= FAR else date.fromordinal(int(day))


def promise(
    inst: Instance,
    names: Names,
    solution: Solution,
    drawn: FactorDraws,
    done: Replications,
    confidence: float,
    policy: Policy,
) -> Promise:
    """Read a promise off the replications."""
    groups = groups_of(names)
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    day_of = np.append(inst.pickup_day, FAR)  # -1: never
    days = day_of[done.pickup]
    if drawn.carrier_days is not None:
        days = np.where(days < FAR, days + np.rint(drawn.carrier_days).astype(np.int64)[:, None], days)
    planned = inst.pickup_day[timing.batches[:, w.PICKUP]]
    by_group: dict[int, list[Batch]] = defaultdict(list)
    for batch, group in zip(names.batches, groups, strict=True):
        by_group[int(group)].append(batch)
    planned_of = [int(planned[groups == g].max()) for g in by_group]

    ways = Ways(names.campaign, drawn.replications, drawn.seed)
    way = {g: ways.of(batches) for g, batches in by_group.items()}
    at_door = {g: _at_door(days[:, g], taken) for g, taken in way.items() if taken is not None}

    in_time = np.ones(drawn.replications, dtype=np.bool_)
    tiers = []
    for tier_id, tier in names.campaign.tiers.items():
        own = [g for g, batches in by_group.items() if batches[0].tier == tier_id]
        if not own:
            continue
        last = days[:, own].max(axis=1)
        met = _in_time(tier, days, at_door, [(g, by_group[g]) for g in own])
        if met is not None:
            in_time &= met
        tiers.append(
            TierPromise(
                tier=tier_id,
                parcels=sum(b.parcels for g in own for b in by_group[g]),
                promised=_last_due([b for g in own for b in by_group[g]]),
                promised_to=tier.promised_to,
                door=_door(at_door, own, confidence),
                chance=None if met is None else float(met.mean()),
                dates=_dates(last, max(planned_of[g] for g in own)),
                announce=quantile_day(last, confidence),
                least_loss=least_loss(last, tier),
                regions=[
                    _region(region, tier, mine, (days, at_door), planned_of, confidence)
                    for region, mine in _by_region(own, by_group).items()
                ],
                drivers=strongest(drawn.factors, done.packed[:, own].max(axis=1)),
            )
        )
    promised = any(t.chance is not None for t in tiers)
    return Promise(
        replications=drawn.replications,
        seed=drawn.seed,
        policy=policy,
        confidence=confidence,
        basis="common case" if drawn.common else "as given",
        taken=taken(names.campaign) if drawn.common else [],
        left_out=left_out(names.campaign),
        not_done=float((done.moulded >= NEVER).mean()),
        on_time=float(in_time.mean()) if promised else None,
        tiers=tiers,
        groups=[_group(names, g, batches, (days, at_door), planned_of[g]) for g, batches in by_group.items()],
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


Doors = dict[int, Ints]
"""Group -> (K) the day of its last parcel at the door; only groups of which all ways are known."""


def _at_door(leaves: Ints, way: Ints) -> Ints:
    """(K) the day at the door of what leaves on a day."""
    found: Ints = np.where(leaves < FAR, leaves + way, leaves)
    return found


def _in_time(tier: Tier, days: Ints, at_door: Doors, mine: list[tuple[int, list[Batch]]]) -> Bools | None:
    """(K) whether all groups that are promised a day leave by it, or are at the door by it; None where none is.

    days (K, groups). Where the door is promised, legs and local parcels take what they take in that replication.
    """
    kept = []
    for g, batches in mine:
        due = [b.hand_over_by for b in batches if b.hand_over_by]
        if not due:
            continue
        promised = promised_in(tier, batches[0].region)
        if tier.promised_to == "door" and g in at_door and promised is not None:
            kept.append(at_door[g] <= promised.toordinal())
        else:
            kept.append(days[:, g] <= min(due).toordinal())
    if not kept:
        return None
    all_kept: Bools = np.all(kept, axis=0)
    return all_kept


def promised_in(tier: Tier, region: str) -> date | None:
    """The day a tier promises a region."""
    return tier.promised_in.get(region, tier.promised)


def _door(at_door: Doors, groups: list[int], confidence: float) -> AtTheDoor | None:
    if any(g not in at_door for g in groups):
        return None
    last = np.max([at_door[g] for g in groups], axis=0)
    p50, p80, p95, announce = (quantile_day(last, share) for share in (0.5, 0.8, 0.95, confidence))
    return AtTheDoor(p50=p50, p80=p80, p95=p95, announce=announce)


def _region(
    region: str,
    tier: Tier,
    mine: list[tuple[int, list[Batch]]],
    done: tuple[Ints, Doors],
    planned_of: list[int],
    confidence: float,
) -> RegionPromise:
    days, at_door = done
    groups = [g for g, _ in mine]
    last, met = days[:, groups].max(axis=1), _in_time(tier, days, at_door, mine)
    return RegionPromise(
        region=region,
        parcels=sum(b.parcels for _, batches in mine for b in batches),
        promised=promised_in(tier, region),
        chance=None if met is None else float(met.mean()),
        door=_door(at_door, groups, confidence),
        dates=_dates(last, max(planned_of[g] for g in groups)),
        announce=quantile_day(last, confidence),
        least_loss=least_loss(last, tier),
    )


def _dates(days: Ints, planned: int) -> Dates:
    ordered = np.sort(days)
    return Dates(
        planned=date.fromordinal(planned),
        p50=_day_in(ordered, 0.5),
        p80=_day_in(ordered, 0.8),
        p95=_day_in(ordered, 0.95),
    )


def _group(names: Names, group: int, batches: list[Batch], done: tuple[Ints, Doors], planned: int) -> GroupPromise:
    contents: dict[str, dict[str, int]] = defaultdict(dict)
    for (product, colourway), units in batches[0].units:
        contents[product][colourway] = units
    days, at_door = done
    met = _in_time(names.campaign.tiers[batches[0].tier], days, at_door, [(group, batches)])
    return GroupPromise(
        tier=batches[0].tier,
        region=batches[0].region,
        part=batches[0].part,
        parts=batches[0].parts,
        contents=dict(contents),
        parcels=sum(b.parcels for b in batches),
        chance=None if met is None else float(met.mean()),
        dates=_dates(days[:, group], planned),
    )
