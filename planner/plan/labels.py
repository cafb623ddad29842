"""A label for each parcel and each pallet of a plan; with the maker's GS1 prefix, each with a number of its own."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import count as counting
from typing import Literal

from planner.campaign import Campaign
from planner.dispatch.labels import sscc
from planner.plan.document import Dispatch, PackBatch, RunPlan
from planner.plan.packers_walk import batches_walked, orders_walked


@dataclass(frozen=True)
class Label:
    """What stands on one label. No names, no addresses: those stay with the maker, found by the order's reference.

    number, of: which of the batch's parcels (of the pick-up's pallets of that carton). parcels: on the pallet, else 1.
    text: the maker's own, on parcels.
    gross_kg: None where no carton is known. code: serial shipping container code, 18 digits; "": no GS1 prefix.
    """

    kind: Literal["parcel", "pallet"]
    dispatch: str
    at: datetime
    batch: str
    number: int
    of: int
    order: str
    tier: str
    part: int
    parts: int
    region: str
    country: str
    contents: str
    carton: str
    parcels: int
    gross_kg: float | None
    code: str = ""
    text: str = ""


def labels(campaign: Campaign, plan: RunPlan, dispatch: str | None = None) -> Iterator[Label]:
    """Labels by pick-up, parcels as a packer goes through them, then pallets. dispatch: only of that one.

    Codes are numbered through the whole plan from the campaign's `serial_from`, whichever pick-up is asked for.
    """
    said = campaign.labels
    serials = counting(said.serial_from)
    for one, batches in batches_walked(plan):
        for label in _of_dispatch(campaign, one, batches):
            serial = next(serials)
            if dispatch in (None, one.id):
                code = sscc(said.gs1_prefix, serial, said.extension) if said.gs1_prefix else ""
                yield replace(label, code=code)


def number_of(plan: RunPlan) -> int:
    """Labels of the whole plan."""
    pallets = sum(pallets.load.pallets for one in plan.dispatches for pallets in one.pallets)
    return pallets + sum(batch.parcels for batch in plan.batches)


def _of_dispatch(campaign: Campaign, one: Dispatch, batches: list[PackBatch]) -> Iterator[Label]:
    for batch in batches:
        yield from _of_batch(campaign, one, batch)
    for pallets in one.pallets:
        load = pallets.load
        for number in range(1, load.pallets + 1):
            on_it = load.last if number == load.pallets else load.per_pallet
            yield Label(
                kind="pallet", dispatch=one.id, at=one.at, batch="", number=number, of=load.pallets, order="", tier="",
                part=1, parts=1, region="", country="", contents=f"{on_it} parcels", carton=pallets.carton,
                parcels=on_it, gross_kg=load.deck_kg + on_it * pallets.parcel_kg,
            )  # fmt: skip


def _of_batch(campaign: Campaign, one: Dispatch, batch: PackBatch) -> Iterator[Label]:
    inside = [f"{n} {p} {c}" for p, ways in sorted(batch.contents.items()) for c, n in sorted(ways.items())]
    number = 0
    for order, count in orders_walked(campaign, batch):
        for _ in range(count):
            number += 1
            yield Label(
                kind="parcel", dispatch=one.id, at=one.at, batch=batch.id, number=number, of=batch.parcels,
                order=order.ref, tier=batch.tier, part=batch.part, parts=batch.parts, region=batch.region,
                country=order.country, contents=", ".join(inside), carton=batch.box.carton if batch.box else "",
                parcels=1, gross_kg=batch.box.gross_kg if batch.box else None, text=campaign.labels.text,
            )  # fmt: skip
