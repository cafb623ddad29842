"""The carton of each pack batch's parcels, what they weigh, and pallets, written from the batches of the schedule."""

from collections import Counter
from collections.abc import Sequence

from planner.campaign import Campaign
from planner.demand.cartons import box_for, carrier, of_products
from planner.dispatch.cartons import CartonChoice
from planner.dispatch.pallets import EUR, load
from planner.dispatch.weights import parcel_weight
from planner.plan.document import Dispatch, PackBatch
from planner.plan.outgoing import DispatchPallets, Laid, PalletLoad, ParcelBox

WORTH_A_PALLET = 0.5
"""A batch that fills at least this share of a pallet goes on pallets. Common practice, no source."""


def boxed(campaign: Campaign, batches: Sequence[PackBatch]) -> list[PackBatch]:
    """The batches with carton, weights and pallets, where their tier chooses cartons."""
    return [_boxed(campaign, batch) for batch in batches]


def palletised(sent: Sequence[Dispatch], batches: Sequence[PackBatch]) -> list[Dispatch]:
    """The pick-ups with their pallets: parcels in cartons alike, of all batches that leave together."""
    known = {batch.id: batch for batch in batches}
    return [_palletised(one, [known[name] for name in one.batches]) for one in sent]


def _palletised(one: Dispatch, batches: Sequence[PackBatch]) -> Dispatch:
    heaviest: dict[str, ParcelBox] = {}
    parcels: Counter[str] = Counter()
    for batch in batches:
        if batch.box is not None:
            before = heaviest.get(batch.box.carton, batch.box)
            heaviest[batch.box.carton] = max(before, batch.box, key=lambda box: box.gross_kg)
            parcels[batch.box.carton] += batch.parcels
    found = [
        DispatchPallets(carton=carton, parcels=parcels[carton], parcel_kg=box.gross_kg, load=load)
        for carton, box in sorted(heaviest.items())
        if (load := _pallets(parcels[carton], box)) is not None
    ]
    return one.model_copy(update={"pallets": found})


def _boxed(campaign: Campaign, batch: PackBatch) -> PackBatch:
    cartons = campaign.tiers[batch.tier].cartons
    beside = [(piece, n) for piece, n in batch.pieces.items() if piece not in cartons]
    choice = box_for(campaign, batch.tier, of_products(batch.units), beside, batch.carrier)
    if choice is None or choice.carton is None:
        return batch
    box = _box(campaign, choice, batch.carrier)
    return batch.model_copy(update={"box": box, "pallets": _pallets(batch.parcels, box)})


def _box(campaign: Campaign, choice: CartonChoice, with_carrier: str) -> ParcelBox:
    carton, fit = choice.carton, choice.fit
    assert carton is not None
    assert fit is not None
    weight = parcel_weight(choice.gross_kg, carton.outside, carrier(campaign, with_carrier))
    return ParcelBox(
        carton=carton.id,
        inside_mm=carton.inside,
        outside_mm=carton.outside,
        gross_kg=weight.gross,
        volumetric_kg=weight.volumetric,
        charged_kg=weight.chargeable,
        layout=[Laid(thing=choice.contents[p.piece], at_mm=p.at, sides_mm=p.sides) for p in fit.placements],
    )


def _pallets(parcels: int, box: ParcelBox) -> PalletLoad | None:
    found = load(parcels, box.outside_mm, box.gross_kg)
    if found is None or parcels < WORTH_A_PALLET * found.per_pallet:
        return None
    return PalletLoad(
        pallets=found.pallets,
        per_layer=found.per_layer,
        per_pallet=found.per_pallet,
        last=found.last,
        height_mm=found.height_mm,
        gross_kg=found.gross_kg,
        deck_kg=EUR.kg,
    )
