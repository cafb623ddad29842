"""Each of several campaigns on one floor told apart: its parcels and dates, and what it has of cost and material.

Every cost line is made of parts that are of one run, press, batch, lot, material or piece; each part is shared as that
is (RULES.md, K2, K3). What a line has beyond its parts (regrind that comes off, dryers cleaned) is shared as they are.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import fsum

from planner.campaign import Campaign
from planner.campaign.whereabouts import setter_rate
from planner.demand.items import RunDemand
from planner.demand.postage import extra_postage
from planner.demand.several_campaigns import MadeFor, Shares, campaign_of, campaigns, in_proportion, mixed
from planner.material import WeightBuy
from planner.material.piece_orders import unused
from planner.plan.charges import Charged
from planner.plan.document import (
    Assembly,
    CampaignApart,
    CampaignLine,
    CampaignMaterial,
    CarriedLot,
    CostLine,
    Dispatch,
    FinishingJob,
    FinishingLot,
    Material,
    Outcome,
    PackBatch,
    PieceNeed,
    TierDates,
)
from planner.plan.material_balance import taken_by
from planner.plan.money import (
    bench_seconds,
    bought_for,
    clearing_prices,
    ink,
    late_for,
    melt_prices,
    pallets_for,
    sent_for,
    stayed_for,
    wasted_kg,
)
from planner.plan.runs import RunUse
from planner.schedule.encode.arrays import whole_seconds

ANY_ORDER = frozenset(
    (
        "moulded material", "bought-in pieces", "finishing labour", "finishing by the piece", "carriage",
        "assembly labour", "packing labour", "postage", "extra postage",
    )
)  # fmt: skip
"""Cost lines that no order of work changes (RULES.md, M4)."""


Used = dict[tuple[str, str], tuple[float, Shares]]
"""Kind and id of a material -> kg that go in, and whose they are."""

BetweenPressAndPacking = tuple[Sequence[FinishingJob], Sequence[FinishingLot], Sequence[CarriedLot]]
"""What benches do before assembly, parts that travel, and what is carried from bench to bench."""


class Made:
    """What a plan is made of, as far as campaigns are told apart by it."""

    def __init__(
        self,
        campaign: Campaign,
        runs: Sequence[RunDemand],
        uses: Sequence[RunUse],
        assembly: Sequence[Assembly],
        batches: Sequence[PackBatch],
        sent: Sequence[Dispatch],
    ) -> None:
        self.campaign, self.uses, self.assembly, self.batches, self.sent = campaign, uses, assembly, batches, sent
        self.made_for = MadeFor(campaign, runs)
        self.of_run = {
            use.run.id: self.made_for.run(use.run.tool, tuple(melt.rsplit("/", 1)[1] for melt in use.run.melts))
            for use in uses
        }
        self.of_batch: dict[str, Shares] = {b.id: {campaign_of(campaign, b.tier): 1.0} for b in batches}
        self.of_job = {job.id: self.of_batch[job.batch] for job in assembly}

    def material(self, line: Material) -> tuple[float, Shares]:
        """Kg that go in of a material, and whose they are."""
        parts = [
            (fsum((used.moulded_kg, used.startup_kg, used.purge_kg, used.restart_kg, used.closing_kg)), use)
            for use in self.uses
            if (used := taken_by(self.campaign, line.kind, line.id, use)) is not None
        ]
        return fsum(kg for kg, _ in parts), mixed((kg, self.of_run[use.run.id]) for kg, use in parts)

    def pieces(self, name: str) -> list[tuple[float, Shares]]:
        """Bought-in pieces of a kind that jobs, batches and runs take, and whose they are."""
        products = self.campaign.products
        parts = [(job.units * products[job.product].pieces.get(name, 0), self.of_job[job.id]) for job in self.assembly]
        parts += [(b.parcels * b.pieces.get(name, 0), self.of_batch[b.id]) for b in self.batches]
        parts += [
            (taken.number, self.of_run[use.run.id])
            for use in self.uses
            for taken in use.run.takes
            if taken.id == name and not taken.colours
        ]
        return [(float(number), shares) for number, shares in parts if number]


def apart(
    made: Made,
    tiers: Sequence[TierDates],
    outcome: Outcome,
    lines: Sequence[CostLine],
    bought: Sequence[tuple[Material, WeightBuy]],
    pieces: Sequence[PieceNeed],
    finishing: BetweenPressAndPacking,
    paid: Mapping[str, Charged],
) -> list[CampaignApart]:
    """Each campaign, as their tiers are listed. paid: press -> what it is charged."""
    names = campaigns(made.campaign)
    used: dict[tuple[str, str], tuple[float, Shares]] = {
        (line.kind, line.id): made.material(line) for line, _ in bought
    }
    taken = {line.id: made.pieces(line.id) for line in pieces}
    parts = _parts(made, bought, used, pieces, taken, finishing, paid)
    split = {line.what: _split(line.amount, parts.get(line.what, []), made.made_for.all) for line in lines}
    saving = outcome.total - outcome.lower_bound
    decided: dict[str, float] = defaultdict(float)
    for what, of in split.items():
        if what not in ANY_ORDER:
            for name, (amount, _) in of.items():
                decided[name] += amount
    all_decided = sum(decided.values())
    found = []
    for name in names:
        mine = [tier for tier in tiers if campaign_of(made.campaign, tier.tier) == name]
        costs = [
            CampaignLine(what=what, amount=of[name][0], shared=of[name][1]) for what, of in split.items() if name in of
        ]
        found.append(
            CampaignApart(
                campaign=name,
                tiers=[tier.tier for tier in mine],
                parcels=sum(tier.parcels for tier in mine),
                first_dispatch=min(tier.first_dispatch for tier in mine),
                last_dispatch=max(tier.last_dispatch for tier in mine),
                late_parcels=sum(tier.late_parcels for tier in mine),
                days_late=max(tier.days_late for tier in mine),
                total=fsum(line.amount for line in costs),
                shared=fsum(line.shared for line in costs),
                could_save=saving * decided[name] / all_decided if all_decided else 0.0,
                costs=costs,
                materials=[
                    CampaignMaterial(kind=kind, id=material, kg=kg * shares[name])
                    for (kind, material), (kg, shares) in used.items()
                    if name in shares
                ],
                pieces={
                    piece: fsum(number * shares.get(name, 0.0) for number, shares in parts)
                    for piece, parts in taken.items()
                    if any(name in shares for _, shares in parts)
                },
            )
        )
    return found


Parts = dict[str, list[tuple[float, Shares]]]
"""Cost line -> its parts: what each weighs in it, and whose it is."""


def _parts(
    made: Made,
    bought: Sequence[tuple[Material, WeightBuy]],
    used: Used,
    pieces: Sequence[PieceNeed],
    taken: Mapping[str, list[tuple[float, Shares]]],
    finishing: BetweenPressAndPacking,
    paid: Mapping[str, Charged],
) -> Parts:
    campaign, found = made.campaign, defaultdict[str, list[tuple[float, Shares]]](list)
    on_press = defaultdict[str, list[tuple[float, Shares]]](list)
    for use in made.uses:
        whose, press = made.of_run[use.run.id], campaign.presses[use.run.press]
        on_press[use.run.press].append((use.press_seconds, whose))
        for what, weight in (
            ("press hours", use.press_seconds * press.rate_per_hour),
            ("energy", use.press_seconds * press.draws_kw),
            ("setter hours", use.setter_seconds * setter_rate(campaign, use.run.press)),
            ("operator hours", stayed_for(campaign, use)),
            ("moulded material", fsum(melt_prices(campaign, use, use.moulded_kg))),
            (
                "purge material",
                fsum([*melt_prices(campaign, use, use.purge_kg), *clearing_prices(campaign, use)]),
            ),
            ("start-up material", fsum(melt_prices(campaign, use, use.startup_kg))),
            ("purging compound", use.compound_kg),
            ("disposal", wasted_kg(use)),
        ):
            found[what].append((weight, whose))
    for name, charged in paid.items():
        whose = mixed(on_press[name])
        asked = [*charged.changeovers.items(), ("shift charges", charged.shifts), ("piece prices", charged.pieces)]
        for what, money in [*asked, ("least a run", charged.least)]:
            found[what].append((money, whose))
    for stuff, buy in bought:
        found["unused minimum orders"].append((buy.left_over_cost, used[stuff.kind, stuff.id][1]))
    for line in pieces:
        left = unused(campaign.pieces[line.id], line.used, line.bought) * line.price
        found["unused minimum orders"].append((left, mixed(taken[line.id])))
        each = bought_for(campaign, line) / line.used
        found["bought-in pieces"] += [(number * each, whose) for number, whose in taken[line.id]]
    _benches(made, finishing, found)
    return found


def _benches(made: Made, finishing: BetweenPressAndPacking, found: Parts) -> None:
    """What is done for a batch, and for the parts of a lot."""
    campaign, (jobs, lots, carried) = made.campaign, finishing
    of_job = made.of_job | {one.id: made.of_job[one.assembly] for one in jobs} | made.of_batch
    for one in jobs:
        rate = campaign.finishing_benches[one.bench].rate_per_hour
        found["finishing labour"].append((bench_seconds(one) * rate, made.of_job[one.assembly]))
        found["finishing by the piece"].append((ink(campaign, one), made.of_job[one.assembly]))
    for lot in lots:
        for visit in lot.visits:
            what = "carriage" if visit.firm in campaign.places else "finishing by the piece"
            found[what].append((visit.price, made.made_for.item((lot.part, tuple(lot.colours)))))
    found["carriage"] += [(visit.price, of_job[one.of]) for one in carried for visit in one.visits]
    for job in made.assembly:
        found["assembly labour"].append((job.person_minutes, made.of_job[job.id]))
    leaves = {sent.id: sent.at.date() for sent in made.sent}
    for batch in made.batches:
        whose = made.of_batch[batch.id]
        packing = whole_seconds(campaign.tiers[batch.tier].pack_minutes, batch.parcels)
        found["packing labour"].append((packing, whose))
        found["postage"].append((sent_for(campaign, batch), whose))
        found["extra postage"].append((extra_postage(campaign, batch.tier, batch.part, batch.parcels), whose))
        found["lateness"].append((late_for(campaign, batch, leaves[batch.dispatch]), whose))
    parcels = {batch.id: batch.parcels for batch in made.batches}
    for sent in made.sent:
        whose = mixed((float(parcels[name]), made.of_batch[name]) for name in sent.batches)
        found["pallets"].append((pallets_for(campaign, sent), whose))


def _split(amount: float, parts: Iterable[tuple[float, Shares]], everybody: Shares) -> dict[str, tuple[float, float]]:
    """Campaign -> (its part of a line, of that the share of what serves others too)."""
    weights: dict[str, float] = defaultdict(float)
    common: dict[str, float] = defaultdict(float)
    for weight, shares in parts:
        for name, share in shares.items():
            weights[name] += weight * share
            common[name] += weight * share * (len(shares) > 1)
    if not amount:
        return {}
    if sum(weights.values()) <= 0:
        return {name: (amount * share, amount * share * (share < 1)) for name, share in everybody.items()}
    whole = sum(weights.values())
    return {name: (amount * share, amount * common[name] / whole) for name, share in in_proportion(weights).items()}
