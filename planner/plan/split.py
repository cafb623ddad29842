"""Split shipment as the plan tells it: when first and last parts leave, postage, the other choice (RULES.md, B1)."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from planner.campaign import Campaign
from planner.demand.parcels import Batch
from planner.demand.postage import extra_postage
from planner.plan.document import Dispatch, PackBatch, TierDates
from planner.plan.outgoing import OtherChoice, SplitDates
from planner.schedule import timing as w
from planner.schedule.construct import by_promise
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for
from planner.spared import Fault, spare

OTHER = "what shipping a tier the other way would do"


def with_splits(
    inst: Instance,
    names: Names,
    solution: Solution,
    timing: Timing,
    tiers: Sequence[TierDates],
    packed: Sequence[PackBatch],
    sent: Sequence[Dispatch],
    faults: list[Fault],
) -> list[TierDates]:
    """The tiers' dates with what is to be told where the campaign speaks of split shipment. faults: gets those of ours
    that cost the other choice's dates."""
    leaves = {d.id: d.at for d in sent}
    told = []
    for line in tiers:
        split = names.campaign.tiers[line.tier].split
        if split is None:
            told.append(line)
            continue
        of_tier = [b for b in packed if b.tier == line.tier and b.parts > 1]
        found = SplitDates(
            ship=split.ship,
            orders=sum(b.parcels for b in of_tier if b.part == b.parts),
            extra_parcels=sum(b.parcels for b in of_tier if b.part > 1),
            extra_postage=sum(extra_postage(names.campaign, b.tier, b.part, b.parcels) for b in of_tier),
            first_parts=max((leaves[b.dispatch] for b in of_tier if b.part == 1), default=None),
            last_parts=max((leaves[b.dispatch] for b in of_tier if b.part == b.parts), default=None),
            other=spare(OTHER, partial(_other, inst, names, solution, timing, line.tier), None, faults),
        )
        told.append(line.model_copy(update={"split": found}))
    return told


def _other(inst: Instance, names: Names, solution: Solution, timing: Timing, tier: str) -> OtherChoice | None:
    """The same runs, with the tier shipped the other way; parts and wholes served in the place of what they replace.

    The better of that order of service and one by promised days counts: no search is made for it.
    """
    changed = _shipped_otherwise(names.campaign, tier)
    other, its_names = compile_campaign(changed)
    other = other._replace(
        lot_run=inst.lot_run, lot_shots=inst.lot_shots, pinned=inst.pinned, lot_release=inst.lot_release
    )
    arrays, its_timing = packed_instance(other), timing_for(other)
    best: tuple[float, OtherChoice] | None = None
    for order in (_in_place(names, solution.order, its_names.batches, tier), by_promise(other)):
        value = objective_of(arrays, Solution(solution.seq, solution.length, order), its_timing)
        if value == np.inf or (best is not None and value >= best[0]):
            continue
        own = [n for n, batch in enumerate(its_names.batches) if batch.tier == tier]
        moments = other.pickup_t[its_timing.batches[own, w.PICKUP]]
        best = (
            value,
            OtherChoice(
                ship="whole" if _in_parts(names.campaign, tier) else "in parts",
                cost_change=float(its_timing.totals[w.COST] - timing.totals[w.COST]),
                first_dispatch=names.clock.moment(int(moments.min())),
                last_dispatch=names.clock.moment(int(moments.max())),
            ),
        )
    return best[1] if best else None


def _in_parts(campaign: Campaign, tier: str) -> bool:
    split = campaign.tiers[tier].split
    return split is not None and split.ship == "in parts"


def _shipped_otherwise(campaign: Campaign, tier: str) -> Campaign:
    made = campaign.tiers[tier]
    assert made.split is not None
    ship = "whole" if _in_parts(campaign, tier) else "in parts"
    split = made.split.model_copy(update={"ship": ship})
    return campaign.model_copy(update={"tiers": campaign.tiers | {tier: made.model_copy(update={"split": split})}})


def _in_place(names: Names, order: Ints, batches: Sequence[Batch], tier: str) -> Ints:
    """An order of service of other batches, each where the first batch with one of its order lines was served."""
    first: dict[int, int] = {}
    same: dict[Batch, int] = {}
    for place, number in enumerate(order):
        batch = names.batches[int(number)]
        same[batch] = place
        if batch.tier == tier:
            for line, _ in batch.lines:
                first.setdefault(line, place)
    ranks = [(min(first[line] for line, _ in b.lines), b.part) if b.tier == tier else (same[b], 0) for b in batches]
    return np.array(sorted(range(len(batches)), key=lambda n: (ranks[n], n)), dtype=np.int64)
