"""What must be paid by when.

Cost is not cash: an order is paid whole, with what is left over of it; lateness is not paid.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from math import ceil, fsum

from planner.calendars.moments import day_of
from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.campaign.operators import operator_rate
from planner.campaign.payment import PaymentTerms
from planner.campaign.whereabouts import setter_rate
from planner.demand.finishing import whose
from planner.demand.postage import extra_postage
from planner.material.piece_orders import part_deliveries
from planner.plan.document import (
    Assembly,
    CarriedLot,
    CashDue,
    Dispatch,
    DryerLoad,
    FinishingJob,
    FinishingLot,
    Material,
    PackBatch,
    PieceNeed,
)
from planner.plan.material_balance import material_terms
from planner.plan.money import HAIR, bench_seconds, ink, pallets_for, sent_for, wasted_kg
from planner.plan.runs import RunUse
from planner.schedule.encode.arrays import whole_seconds


def cash(
    campaign: Campaign,
    uses: Sequence[RunUse],
    bought: Iterable[Material],
    pieces: Iterable[PieceNeed],
    assembly: Iterable[Assembly],
    batches: Sequence[PackBatch],
    dispatches: Iterable[Dispatch],
    drying: Iterable[DryerLoad] = (),
) -> list[CashDue]:
    """Every payment by the last day on which it can be made, in order of days (RULES.md, M5).

    Orders are those of the plan and the deliveries already agreed. Work is paid at the end of the week (Sunday) in
    which it is done.
    """
    found: list[CashDue] = []
    for line in bought:
        terms = material_terms(campaign, line.kind, line.id)
        name = line.id if line.kind == "resin" else f"{line.kind} {line.id}"
        amount = line.bought_kg * line.price_per_kg
        found += _order(campaign, name, terms, terms.lead_days, line.order_by, amount)
    for piece in pieces:
        said = campaign.pieces[piece.id]
        for days, count in part_deliveries(said, piece.bought):
            found += _order(campaign, piece.id, said, days, piece.order_by, count * piece.price)
    for name, said in campaign.pieces.items():
        for also in said.also_from:
            what = f"{name} from {also.supplier}"
            found += _order(campaign, what, said, also.lead_days, campaign.start.date(), also.pieces * also.price)
    found += _agreed(campaign)
    found += _work(campaign, uses, assembly, batches, drying)
    postage: defaultdict[tuple[date, str], float] = defaultdict(float)
    leaves = {}
    for dispatch in dispatches:
        leaves[dispatch.id] = day = dispatch.at.date()
        postage[day, "pallets"] += pallets_for(campaign, dispatch)
    for batch in batches:
        day = leaves[batch.dispatch]
        postage[day, "extra postage"] += extra_postage(campaign, batch.tier, batch.part, batch.parcels)
        postage[day, "postage"] += sent_for(campaign, batch)
    found += [_due(day, "postage", of, amount) for (day, of), amount in postage.items()]
    return in_order(found)


def in_order(*found: Iterable[CashDue]) -> list[CashDue]:
    """Payments in order of days; nothing that is not to be paid."""
    some = [line for lines in found for line in lines if line.amount > 0]
    return sorted(some, key=lambda line: (line.on, line.what, line.of))


def finishing_due(
    campaign: Campaign, jobs: Iterable[FinishingJob], lots: Iterable[FinishingLot | CarriedLot]
) -> list[CashDue]:
    """For work between press and assembly: a week's hours and ink, and each lot once it is back, or there."""
    weeks: defaultdict[tuple[date, str], list[float]] = defaultdict(list)
    for job in jobs:
        rate = campaign.finishing_benches[job.bench].rate_per_hour
        weeks[sunday(job.start), "finishing labour"].append(bench_seconds(job) * rate / 3600)
        weeks[sunday(job.start), "finishing by the piece"].append(ink(campaign, job))
    found = [_due(week, "work", of, fsum(amounts)) for (week, of), amounts in weeks.items()]
    days: defaultdict[tuple[date, str, str], list[float]] = defaultdict(list)
    for lot in lots:
        for visit in lot.visits:
            on = visit.back.date() + timedelta(days=whose(campaign, visit.firm).balance_days)
            what = "carriage" if visit.firm in campaign.places else "finishing"
            days[on, what, visit.firm].append(visit.price)
    return [*found, *(_due(on, what, firm, fsum(amounts)) for (on, what, firm), amounts in days.items())]


def _due(on: date, what: str, of: str, amount: float) -> CashDue:
    return CashDue.model_validate({"on": on, "what": what, "of": of, "amount": amount})


def _order(
    campaign: Campaign, name: str, terms: PaymentTerms, lead_days: int | None, order_by: date | None, amount: float
) -> list[CashDue]:
    if order_by is None or lead_days is None:
        return []
    first = amount * terms.deposit_share
    last = order_by + timedelta(days=lead_days + terms.balance_days)
    return [
        _due(order_by, "deposit", name, first),
        _due(max(order_by, last), "balance", name, amount - first),
    ]


def _agreed(campaign: Campaign) -> list[CashDue]:
    """The rest of what deliveries already agreed cost; their deposit is paid."""
    bought: list[tuple[str, PaymentTerms, float, list[Arrival]]] = [
        (name, resin, resin.price_per_kg, resin.arrivals) for name, resin in campaign.resins.items()
    ]
    bought += [
        (f"masterbatch {name}", colour, colour.price_per_kg, colour.arrivals)
        for name, colour in campaign.colours.items()
    ]
    bought += [(name, piece, piece.price, piece.arrivals) for name, piece in campaign.pieces.items()]
    if campaign.purging.compound is not None:
        compound = campaign.purging.compound
        bought.append((f"purging compound {compound.name}", compound, compound.price_per_kg, compound.arrivals))
    return [
        _due(
            day_of(arrival.on) + timedelta(days=terms.balance_days),
            "agreed delivery",
            name,
            arrival.amount * price * (1 - terms.deposit_share),
        )
        for name, terms, price, arrivals in bought
        for arrival in arrivals
    ]


def _work(
    campaign: Campaign,
    uses: Iterable[RunUse],
    assembly: Iterable[Assembly],
    batches: Iterable[PackBatch],
    drying: Iterable[DryerLoad],
) -> list[CashDue]:
    weeks: defaultdict[tuple[date, str], list[float]] = defaultdict(list)
    floor = campaign.floor
    for use in uses:
        press = campaign.presses[use.run.press]
        rate, power = press.rate_per_hour / 3600, press.draws_kw * floor.price_per_kwh / 3600
        change = use.run.changeover
        if change is not None:
            seconds = change.end.timestamp() - change.start.timestamp()
            weeks[sunday(change.start), "press hours"].append(seconds * rate)
            weeks[sunday(change.start), "energy"].append(seconds * power)
            weeks[sunday(change.start), "setter hours"].append(seconds * setter_rate(campaign, use.run.press) / 3600)
        for stretch in use.run.stretches:
            seconds = stretch.end.timestamp() - stretch.start.timestamp()
            weeks[sunday(stretch.start), "press hours"].append(seconds * rate)
            weeks[sunday(stretch.start), "energy"].append(seconds * power)
            if use.run.operators:
                seconds -= stretch.restart_seconds + (stretch.closing.seconds if stretch.closing else 0)
                money = seconds * use.run.operators * operator_rate(campaign, use.run.press) / 3600
                weeks[sunday(stretch.start), "operator hours"].append(money)
        weeks[sunday(use.run.start), "disposal"].append(wasted_kg(use) * floor.disposal_per_kg)
    for load in drying:
        if load.cleaned_from is not None:
            seconds = whole_seconds(floor.dryer_cleaning_minutes)
            weeks[sunday(load.cleaned_from), "setter hours"].append(seconds * floor.setter_rate_per_hour / 3600)
    for job in assembly:
        seconds = ceil(job.person_minutes * 60 - HAIR)
        weeks[sunday(job.start), "assembly labour"].append(seconds * campaign.assembly.rate_per_hour / 3600)
    for batch in batches:
        seconds = whole_seconds(campaign.tiers[batch.tier].pack_minutes, batch.parcels)
        weeks[sunday(batch.start), "packing labour"].append(seconds * campaign.packing.rate_per_hour / 3600)
    return [_due(week, "work", of, fsum(amounts)) for (week, of), amounts in weeks.items()]


def sunday(moment: datetime) -> date:
    """The last day of the week, Monday to Sunday, in which a moment lies."""
    return moment.date() + timedelta(days=6 - moment.weekday())
