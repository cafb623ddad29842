"""Customs facts by country, written from the pack batches and the order lines in them."""

from collections.abc import Iterator, Sequence
from math import fsum

from planner.campaign import Campaign
from planner.campaign.packing import Packable
from planner.demand.cartons import of_products, piece_kg, unit_kg
from planner.dispatch.customs import CLOSING, DeclaredParcel, DestinationFacts, GoodsLine, facts_by_destination
from planner.plan.document import PackBatch
from planner.plan.outgoing import CustomsFacts


def customs(campaign: Campaign, batches: Sequence[PackBatch]) -> list[CustomsFacts]:
    """Facts for every country that parcels go to; none where the campaign doesn't say where they leave from."""
    if campaign.customs is None:
        return []
    weighed = {campaign.orders[line.line].country for batch in batches for line in batch.lines} - {
        campaign.orders[line.line].country for batch in batches if batch.box is None for line in batch.lines
    }
    rate = campaign.customs.sdr_rate
    found = facts_by_destination(_parcels(campaign, batches), campaign.customs.ships_from, rate)
    return [_facts(one, one.destination in weighed) for one in found]


def _facts(found: DestinationFacts, weighed: bool) -> CustomsFacts:
    return CustomsFacts(
        country=found.destination,
        name=found.name,
        parcels=found.parcels,
        value=round(found.value, 2),
        dearest=round(found.dearest, 2),
        gross_kg=round(found.gross_kg, 3) if weighed else None,
        heaviest_kg=round(found.heaviest_kg, 4) if weighed else None,
        border=found.crosses,
        forms=found.forms if weighed else {},
        missing=list(found.missing),
        note=CLOSING,
    )


def _parcels(campaign: Campaign, batches: Sequence[PackBatch]) -> Iterator[DeclaredParcel]:
    """Every parcel that leaves; those alike are one object."""
    for batch in batches:
        goods = tuple(_goods(campaign, batch))
        gross = batch.box.gross_kg if batch.box else fsum(line.net_kg for line in goods)
        for line in batch.lines:
            yield from [DeclaredParcel(campaign.orders[line.line].country, gross, goods)] * line.count


def _goods(campaign: Campaign, batch: PackBatch) -> Iterator[GoodsLine]:
    """Products, and pieces that are worth something; cartons and leaflets without a value are packaging."""
    for product, n in of_products(batch.units):
        yield _line(product, campaign.products[product], n, unit_kg(campaign, product))
    for piece, n in batch.pieces.items():
        if campaign.pieces[piece].declared.value > 0:
            yield _line(piece, campaign.pieces[piece], n, piece_kg(campaign, piece))


def _line(name: str, made: Packable, n: int, kg: float) -> GoodsLine:
    said = made.declared
    return GoodsLine(said.description or name, n, said.value * n, kg * n, said.hs_code or "", said.origin or "")
