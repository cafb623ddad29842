"""The order in which a packer goes through parcels: pick-up by pick-up as they leave, batch by batch as they are
packed, orders by number, so that labels and list lie in the same order."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.plan.document import Dispatch, PackBatch, RunPlan

_FIGURES = re.compile(r"(\d+)")


@dataclass(frozen=True)
class Packed:
    """Parcels of one order line in a batch. count: so many of them, all alike."""

    dispatch: Dispatch
    batch: PackBatch
    order: OrderLine
    count: int


def batches_walked(plan: RunPlan) -> Iterator[tuple[Dispatch, list[PackBatch]]]:
    """Each pick-up with its batches, in order of work."""
    batches = {batch.id: batch for batch in plan.batches}
    for dispatch in sorted(plan.dispatches, key=lambda one: (one.at, one.id)):
        yield dispatch, sorted((batches[name] for name in dispatch.batches), key=lambda one: (one.start, one.id))


def orders_walked(campaign: Campaign, batch: PackBatch) -> list[tuple[OrderLine, int]]:
    """A batch's order lines by number, `#9` before `#10`, each with how many parcels."""
    lines = [(campaign.orders[part.line], part.count) for part in batch.lines]
    return sorted(lines, key=lambda line: (by_number(line[0].ref), line[0].country))


def walked(campaign: Campaign, plan: RunPlan) -> Iterator[Packed]:
    """All parcels of a plan."""
    for dispatch, batches in batches_walked(plan):
        for batch in batches:
            for order, count in orders_walked(campaign, batch):
                yield Packed(dispatch, batch, order, count)


def by_number(ref: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts figures in a text by their size: `A-2` before `A-10`."""
    return tuple(
        (0, int(piece), "") if piece.isdecimal() else (1, 0, piece) for piece in _FIGURES.split(ref.casefold()) if piece
    )
