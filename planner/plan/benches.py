"""Assembly jobs, pack batches, dispatches and the dates of the tiers, written from the timing of the schedule."""

from collections import defaultdict
from datetime import datetime

from planner.demand.in_hand import taken_from_hand
from planner.demand.inspecting import bench_minutes, job_minutes
from planner.plan.document import Assembly, BatchLine, Dispatch, PackBatch, RegionDates, TierDates
from planner.plan.doors import last_at_a_door
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.instance import Instance, Ints
from planner.schedule.timing import Timing


def batch_ids(timing: Timing) -> dict[int, str]:
    """Pack batches numbered in order of packing."""
    in_order = sorted(range(timing.batches.shape[0]), key=lambda b: (timing.batches[b, w.STARTED], b))
    return {b: f"pack-{n}" for n, b in enumerate(in_order, start=1)}


def job_ids(timing: Timing) -> dict[int, str]:
    """Assembly jobs numbered in order of start."""
    jobs = timing.jobs
    in_order = sorted(range(jobs.shape[0]), key=lambda j: (jobs[j, w.STARTED], jobs[j, w.ENDED], j))
    return {j: f"assembly-{n}" for n, j in enumerate(in_order, start=1)}


def assembly(names: Names, timing: Timing) -> list[Assembly]:
    """Assembly jobs in order of start."""
    ids = batch_ids(timing)
    found = []
    inspecting = bench_minutes(names.campaign, names.runs)
    in_hand = taken_from_hand(names.campaign, names.jobs)
    for job, name in job_ids(timing).items():
        batch, product, colourway, units = names.jobs[job]
        minutes, inspection = job_minutes(names.campaign, inspecting, product, colourway, units - in_hand[job])
        found.append(
            Assembly(
                id=name,
                batch=ids[batch],
                product=product,
                colourway=colourway,
                units=units,
                from_hand=in_hand[job],
                start=names.clock.moment(timing.jobs[job, w.STARTED]),
                end=names.clock.moment(timing.jobs[job, w.ENDED]),
                person_minutes=float(minutes),
                inspection_minutes=float(inspection),
            )
        )
    return found


def batches(names: Names, timing: Timing, order: Ints, pickup_ids: dict[int, str]) -> list[PackBatch]:
    """Pack batches in order of packing. order (B): as they are served."""
    served = {int(b): n for n, b in enumerate(order, start=1)}
    found = []
    for b, name in batch_ids(timing).items():
        batch = names.batches[b]
        contents: dict[str, dict[str, int]] = defaultdict(dict)
        for (product, colourway), units in batch.units:
            contents[product][colourway] = units
        found.append(
            PackBatch(
                id=name,
                tier=batch.tier,
                region=batch.region,
                part=batch.part,
                parts=batch.parts,
                contents=dict(contents),
                pieces=dict(batch.pieces),
                parcels=batch.parcels,
                lines=[BatchLine(line=line, count=count) for line, count in batch.lines],
                served=served[b],
                start=names.clock.moment(timing.batches[b, w.STARTED]),
                end=names.clock.moment(timing.batches[b, w.ENDED]),
                person_minutes=batch.parcels * names.campaign.tiers[batch.tier].pack_minutes,
                dispatch=pickup_ids[int(timing.batches[b, w.PICKUP])],
                carrier=batch.carrier,
                hand_over_by=batch.hand_over_by,
            )
        )
    return found


def pickup_ids(timing: Timing) -> dict[int, str]:
    """Pick-ups that take something, numbered in order."""
    return {int(k): f"dispatch-{n}" for n, k in enumerate(sorted(set(timing.batches[:, w.PICKUP])), start=1)}


def dispatches(inst: Instance, names: Names, timing: Timing, packed: list[PackBatch]) -> list[Dispatch]:
    """What leaves on each pick-up."""
    found = []
    for k, name in pickup_ids(timing).items():
        taken = [b for b in packed if b.dispatch == name]
        found.append(
            Dispatch(
                id=name,
                at=names.clock.moment(int(inst.pickup_t[k])),
                carrier=taken[0].carrier,
                parcels=sum(b.parcels for b in taken),
                batches=[b.id for b in taken],
            )
        )
    return found


def tiers(names: Names, packed: list[PackBatch], sent: list[Dispatch]) -> list[TierDates]:
    """First and last dispatch of each tier that somebody ordered."""
    campaign, leaves = names.campaign, {d.id: d.at for d in sent}
    found = []
    for tier_id, tier in campaign.tiers.items():
        of_tier = [b for b in packed if b.tier == tier_id]
        if not of_tier:
            continue
        regions: dict[str, list[PackBatch]] = defaultdict(list)
        for batch in of_tier:
            regions[batch.region].append(batch)
        apart = bool(tier.promised_in) or tier.promised_to == "door"
        found.append(
            TierDates(
                tier=tier_id,
                parcels=sum(b.parcels for b in of_tier),
                promised=tier.promised,
                first_dispatch=min(leaves[b.dispatch] for b in of_tier),
                last_dispatch=max(leaves[b.dispatch] for b in of_tier),
                late_parcels=sum(b.parcels for b in of_tier if days_late(b, leaves[b.dispatch])),
                days_late=max(days_late(b, leaves[b.dispatch]) for b in of_tier),
                at_the_door=last_at_a_door(campaign, [(b, leaves[b.dispatch].date()) for b in of_tier]),
                promised_to=tier.promised_to,
                regions=[
                    RegionDates(
                        region=region,
                        parcels=sum(b.parcels for b in mine),
                        promised=tier.promised_in.get(region, tier.promised),
                        last_dispatch=max(leaves[b.dispatch] for b in mine),
                        at_the_door=last_at_a_door(campaign, [(b, leaves[b.dispatch].date()) for b in mine]),
                        late_parcels=sum(b.parcels for b in mine if days_late(b, leaves[b.dispatch])),
                        days_late=max(days_late(b, leaves[b.dispatch]) for b in mine),
                    )
                    for region, mine in sorted(regions.items() if apart else ())
                ],
            )
        )
    return found


def days_late(batch: PackBatch, leaves: datetime) -> int:
    """Days after the day by which a pack batch should have left; 0: in time, or nothing is promised."""
    return 0 if batch.hand_over_by is None else max(0, (leaves.date() - batch.hand_over_by).days)
