"""The cost lines of a plan, from its runs, materials, pieces, benches and dispatches."""

from collections.abc import Iterable, Iterator
from datetime import date
from math import ceil, fsum

from planner.campaign import Campaign
from planner.campaign.melts import melt_price
from planner.campaign.operators import operator_rate
from planner.campaign.whereabouts import setter_rate
from planner.demand.carriers import takers
from planner.demand.items import ordered_units
from planner.demand.postage import batch_postage, extra_postage
from planner.material import PieceBuy, WeightBuy
from planner.material.piece_orders import dearer, unused
from planner.plan.document import (
    CarriedLot,
    CostLine,
    Dispatch,
    FinishingJob,
    FinishingLot,
    Material,
    PackBatch,
    PieceNeed,
)
from planner.plan.runs import RunUse
from planner.schedule.encode.arrays import whole_seconds

HAIR = 1e-6
"""Seconds below which a job's minutes are whole seconds."""


def costs(
    campaign: Campaign,
    uses: list[RunUse],
    bought: list[tuple[Material, WeightBuy]],
    pieces: list[tuple[PieceNeed, PieceBuy]],
    assembly_s: int,
    batches: list[PackBatch],
    dispatches: list[Dispatch],
    cleaning_s: int = 0,
) -> list[CostLine]:
    """Every line of RULES.md, M1, in its order. assembly_s: person-seconds of all assembly jobs. cleaning_s: of
    dryers, for another resin."""
    floor = campaign.floor

    def priced(field: str) -> float:
        return fsum(money for use in uses for money in melt_prices(campaign, use, getattr(use, field)))

    compound = campaign.purging.compound
    cleaned = fsum(use.compound_kg for use in uses)
    leaves = {d.id: d.at.date() for d in dispatches}
    packing_s = sum(whole_seconds(campaign.tiers[b.tier].pack_minutes, b.parcels) for b in batches)
    lines = [
        ("press hours", fsum(u.press_seconds * campaign.presses[u.run.press].rate_per_hour / 3600 for u in uses)),
        (
            "setter hours",
            fsum(u.setter_seconds / 3600 * setter_rate(campaign, u.run.press) for u in uses)
            + cleaning_s / 3600 * floor.setter_rate_per_hour,
        ),
        ("moulded material", priced("moulded_kg") - fsum(line.regrind_kg * line.price_per_kg for line, _ in bought)),
        (
            "purge material",
            priced("purge_kg") + fsum(money for use in uses for money in clearing_prices(campaign, use)),
        ),
        ("start-up material", priced("startup_kg")),
        ("disposal", fsum(wasted_kg(u) for u in uses) * floor.disposal_per_kg),
        (
            "unused minimum orders",
            fsum(buy.left_over_cost for _, buy in bought)
            + fsum(unused(campaign.pieces[line.id], line.used, line.bought) * line.price for line, _ in pieces),
        ),
        ("bought-in pieces", fsum(bought_for(campaign, line) for line, _ in pieces)),
        ("assembly labour", assembly_s / 3600 * campaign.assembly.rate_per_hour),
        ("packing labour", packing_s / 3600 * campaign.packing.rate_per_hour),
        ("lateness", fsum(late_for(campaign, b, leaves[b.dispatch]) for b in batches)),
    ]
    if any(tool.operators for tool in campaign.tools.values()):
        lines.insert(2, ("operator hours", fsum(stayed_for(campaign, use) for use in uses)))
    known = takers(campaign)
    if any(taker.said.rates for taker in known):
        lines.insert(-1, ("postage", fsum(sent_for(campaign, batch) for batch in batches)))
    if any(taker.pallets for taker in known):
        lines.insert(-1, ("pallets", fsum(pallets_for(campaign, dispatch) for dispatch in dispatches)))
    if any(tier.split for tier in campaign.tiers.values()):
        lines.insert(-1, ("extra postage", fsum(extra_postage(campaign, b.tier, b.part, b.parcels) for b in batches)))
    if compound is not None and cleaned > 0:
        lines.insert(
            next(n for n, (what, _) in enumerate(lines) if what == "start-up material"),
            ("purging compound", cleaned * compound.price_per_kg),
        )
    return [CostLine.model_validate({"what": what, "amount": amount}) for what, amount in lines]


def stayed_for(campaign: Campaign, use: RunUse) -> float:
    """What those cost who stay at the press while a run is moulded."""
    return use.operator_seconds / 3600 * operator_rate(campaign, use.run.press)


def melt_prices(campaign: Campaign, use: RunUse, kg: Iterable[float]) -> Iterator[float]:
    """What kilograms of a run's melts cost, barrel by barrel."""
    return (one * melt_price(campaign, melt) for one, melt in zip(kg, use.run.melts, strict=True))


def clearing_prices(campaign: Campaign, use: RunUse) -> Iterator[float]:
    """What a run's bridges and closings cost, resin by resin."""
    cleared = [*use.bridge_kg.items(), *use.closing_kg.items()]
    return (kg * campaign.resins[resin].price_per_kg for resin, kg in cleared)


def finishing_lines(
    campaign: Campaign, jobs: Iterable[FinishingJob], lots: Iterable[FinishingLot | CarriedLot]
) -> list[CostLine]:
    """Cost lines of work between press and assembly, and of ways from and to other places; none where there is none."""
    jobs, lots = list(jobs), list(lots)
    if not jobs and not lots:
        return []
    labour = fsum(bench_seconds(job) / 3600 * campaign.finishing_benches[job.bench].rate_per_hour for job in jobs)
    visits = [visit for lot in lots for visit in lot.visits]
    firms = [visit.price for visit in visits if visit.firm not in campaign.places]
    found = []
    if jobs or firms:
        by_piece = fsum([*(ink(campaign, job) for job in jobs), *firms])
        found = [
            CostLine(what="finishing labour", amount=labour),
            CostLine(what="finishing by the piece", amount=by_piece),
        ]
    if campaign.places:
        brought = fsum(visit.price for visit in visits if visit.firm in campaign.places)
        found.append(CostLine(what="carriage", amount=brought))
    return found


def bench_seconds(job: FinishingJob) -> int:
    """Person-seconds of a job before assembly."""
    return ceil(job.person_minutes * 60 - HAIR)


def ink(campaign: Campaign, job: FinishingJob) -> float:
    """What is paid by the piece for what a bench puts on or into parts."""
    money = 0.0
    for one in job.parts:
        parts = one.goes_in
        for step in campaign.parts[one.part].finishing:
            if step.at == job.bench:
                money += parts * step.price
                parts *= 1 - step.scrap_share
    return money


def bought_for(campaign: Campaign, line: PieceNeed) -> float:
    """What the pieces used cost, with what orders at other suppliers cost beyond that."""
    return line.used * line.price + dearer(campaign.pieces[line.id], line.price)


def sent_for(campaign: Campaign, batch: PackBatch) -> float:
    """Postage of a batch's parcels by the campaign's rates."""
    lines = [(line.line, line.count) for line in batch.lines]
    return batch_postage(campaign, batch, batch.pieces.items(), lines)


def late_for(campaign: Campaign, batch: PackBatch, leaves: date) -> float:
    """What it costs that a batch's parcels leave on that day."""
    if batch.hand_over_by is None:
        return 0.0
    days = max(0, (leaves - batch.hand_over_by).days)
    return batch.parcels * days * campaign.tiers[batch.tier].late_cost_per_day * _share(campaign, batch)


def pallets_for(campaign: Campaign, dispatch: Dispatch) -> float:
    """What the pallets of a pick-up cost, the last one too where it is not full."""
    pallets = campaign.carriers[dispatch.carrier].pallets if dispatch.carrier else None
    return 0.0 if pallets is None else ceil(dispatch.parcels / pallets.parcels) * pallets.price


def wasted_kg(use: RunUse) -> float:
    """Purges and start-up shots of a run, compound, bridges and closings included."""
    return purged_kg(use) + fsum(use.startup_kg)


def purged_kg(use: RunUse) -> float:
    """Everything purged for a run, compound, bridges and closings included."""
    return fsum([*use.purge_kg, use.compound_kg, *use.bridge_kg.values(), *use.closing_kg.values()])


def _share(campaign: Campaign, batch: PackBatch) -> float:
    """What a day's lateness of one of the batch's parcels counts: its units' share of its order's."""
    if batch.parts == 1:
        return 1.0
    line = campaign.orders[batch.lines[0].line]
    return sum(n for ways in batch.contents.values() for n in ways.values()) / ordered_units(line)
