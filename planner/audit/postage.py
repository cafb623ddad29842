"""What parcels cost to send and when they come to a door: from contents, cartons and rates alone (RULES.md, B9)."""

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from functools import partial

from planner.audit.carton import BOARD, carrier_of, piece_grams, unit_grams
from planner.audit.case import Case
from planner.audit.figures import exact, whole_up
from planner.campaign import Campaign
from planner.campaign.packing import Rate
from planner.plan.document import PackBatch


def postage(case: Case) -> float:
    """All parcels, each by the cheapest rate that is for its country and takes it."""
    return sum(sent_for(case, batch) for batch in case.plan.batches)


def sent_for(case: Case, batch: PackBatch) -> float:
    """Postage of a batch's parcels."""
    money = Fraction(0)
    for _, country, parcels in _parcels(case, [batch]):
        rate = rate_of(case, batch, country)
        if rate is not None:
            money += parcels * rate[0]
    return float(money)


def extra_postage(case: Case, batch: PackBatch) -> Fraction:
    """Postage of a batch's parcels that are not the first of their order."""
    split = case.campaign.tiers[batch.tier].split if batch.tier in case.campaign.tiers else None
    return batch.parcels * exact(split.extra_postage) if split is not None and batch.part > 1 else Fraction(0)


def postage_by_day(case: Case) -> Iterator[tuple[date, float]]:
    """(day of the pick-up, money), batch by batch."""
    leaves = {name: sent.at for sent in case.plan.dispatches for name in sent.batches}
    for batch, country, parcels in _parcels(case):
        rate = rate_of(case, batch, country)
        if rate is not None and batch.id in leaves:
            yield case.clock.day(case.clock.second(leaves[batch.id])), float(parcels * rate[0])


def at_the_door(case: Case, tier: str, region: str | None = None) -> date | None:
    """The last day at a door of the tier's parcels, or of those for a region; None where one of them is not known."""
    leaves = {name: sent.at for sent in case.plan.dispatches for name in sent.batches}
    last = None
    for batch, country, _ in _parcels(case):
        if batch.tier != tier or batch.id not in leaves or region not in (None, batch.region):
            continue
        rate = rate_of(case, batch, country)
        if rate is None or rate[1].door_days is None:
            return None
        own = case.campaign.carriers.get(batch.carrier)
        way = rate[1].door_days[1] + (sum(leg.days[1] for leg in own.legs) if own is not None else 0)
        day = case.clock.day(case.clock.second(leaves[batch.id])) + timedelta(days=way)
        last = max(last or day, day)
    return last


def _parcels(case: Case, batches: list[PackBatch] | None = None) -> Iterator[tuple[PackBatch, str, int]]:
    for batch in case.plan.batches if batches is None else batches:
        for line in batch.lines:
            if _known(case.campaign, batch) and 0 <= line.line < len(case.campaign.orders):
                yield batch, case.campaign.orders[line.line].country, line.count


def _known(campaign: Campaign, batch: PackBatch) -> bool:
    """Whether the campaign has all that the batch names; where it has not, A10 says so."""
    named = {piece in campaign.pieces for piece in batch.pieces} | {
        made in campaign.products for made in batch.contents
    }
    return batch.tier in campaign.tiers and named <= {True}


def rate_of(case: Case, batch: PackBatch, country: str) -> tuple[Fraction, Rate] | None:
    """(price, rate) of the cheapest of its carrier, the first of equals."""

    def work_out() -> tuple[Fraction, Rate] | None:
        return cheapest_of(case.campaign, batch, country, charged_kg(case, batch))

    return case.once(("rate", id(batch), country), work_out)


def cheapest_of(
    campaign: Campaign, batch: PackBatch, country: str, kg: Fraction | None
) -> tuple[Fraction, Rate] | None:
    """(price, rate) of the cheapest that takes so many kg, worked out each time it is asked."""
    rates = carrier_of(campaign, batch).rates
    own = [rate for rate in rates if any(country in campaign.regions.get(name, [name]) for name in rate.to)]
    best: tuple[Fraction, Rate] | None = None
    if kg is None:
        return None
    for rate in own or [rate for rate in rates if not rate.to]:
        price = next((exact(step.price) for step in rate.steps if kg <= exact(step.up_to_kg)), None)
        if price is not None and (best is None or price < best[0]):
            best = price, rate
    return best


def charged_kg(case: Case, batch: PackBatch) -> Fraction | None:
    """The larger of gross and volumetric weight, rounded up to the carrier's step; None where the campaign has not all
    that the batch names."""
    return case.once(("charged", id(batch)), lambda: charged_of(case, batch))


def charged_of(case: Case, batch: PackBatch) -> Fraction | None:
    """As `charged_kg`, worked out each time it is asked."""
    campaign = case.campaign
    if not _known(campaign, batch):
        return None
    said, grams = carrier_of(campaign, batch), Fraction(0)
    for product, ways in batch.contents.items():
        unit = case.once(("unit", product), partial(unit_grams, campaign, product))
        grams += sum(ways.values()) * unit
    volume = Fraction(0)
    for piece, n in batch.pieces.items():
        bought = campaign.pieces[piece]
        if bought.carton is None or piece not in campaign.tiers[batch.tier].cartons:
            grams += n * piece_grams(campaign, piece)
            continue
        grams += exact(bought.carton.tare_g) + exact(bought.carton.padding_g)
        sides = bought.carton.outside_mm or [side + 2 * BOARD for side in bought.carton.inside_mm]
        cubic = Fraction(1)
        for side in sides:
            cubic *= whole_up(Fraction(side, 10)) if said.whole_cm else Fraction(side, 10)
        volume = cubic / exact(said.volumetric_divisor) if said.volumetric_divisor else Fraction(0)
    kg = max(grams / 1000, volume)
    step = exact(said.step_kg)
    return whole_up(kg / step) * step if step else kg
