"""A lot found bad late: which parcels may hold pieces of it, how many are still here, what is to be moulded again.

Pieces carry no numbers, so a parcel that was packed after the lot was begun and that holds such a piece may hold one of
it: all of them are named, never fewer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from planner.actuals.entries import Actuals, AnyEntry, CameBack, LotResult, Packed
from planner.actuals.packed import contents_of
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.demand.items import ordered_items, parts_of_unit


@dataclass(frozen=True)
class Lot:
    """pieces: good ones it was counted with. since: when its first piece was moulded, wall clock."""

    part: str
    colours: tuple[str, ...]
    pieces: int
    since: datetime


@dataclass(frozen=True)
class MayHold:
    """Parcels of one order line that may hold a piece of a lot. plan: how many plans back it was packed, 0 for this
    one. line: in that plan's orders. part: which parcel of orders in parts. pieces: of that kind, in all of them."""

    plan: int
    line: int
    part: int | None
    order: OrderLine
    parcels: int
    pieces: int
    last_packed: datetime


def may_hold(lot: Lot, plans: Sequence[tuple[Campaign, Sequence[AnyEntry]]]) -> list[MayHold]:
    """plans: campaign and log of this plan, of the one it was made from, and so on. In the order of packing."""
    found = []
    for back, (campaign, entries) in enumerate(plans):
        parcels: dict[tuple[int, int | None], int] = {}
        last: dict[tuple[int, int | None], datetime] = {}
        for entry in entries:
            if isinstance(entry, Packed) and entry.at >= lot.since:
                key = entry.line, entry.part
                parcels[key], last[key] = parcels.get(key, 0) + entry.parcels, max(last.get(key, entry.at), entry.at)
            elif isinstance(entry, CameBack) and entry.line is not None and (entry.line, entry.part) in parcels:
                parcels[entry.line, entry.part] -= entry.parcels
        for (line, part), count in parcels.items():
            each = _pieces(campaign, lot, CameBack(at=lot.since, line=line, part=part))
            if count > 0 and each:
                at = last[line, part]
                found.append(MayHold(back, line, part, campaign.orders[line], count, each * count, at))
    return sorted(found, key=lambda one: (one.last_packed, one.plan, one.line, one.part or 0))


def written(lot: Lot, again: Sequence[MayHold], at: datetime) -> list[AnyEntry]:
    """What the log should say: parcels sent again, their pieces lost; what of the lot is still here, rejected."""
    entries: list[AnyEntry] = []
    for one in again:
        if one.plan:
            order = one.order.model_copy(update={"count": 1, "gone": None})
            entries.append(CameBack(at=at, order=order, parcels=one.parcels, note=_note(lot)))
        else:
            entries.append(CameBack(at=at, line=one.line, part=one.part, parcels=one.parcels, note=_note(lot)))
    here = lot.pieces - sum(one.pieces for one in again)
    if here > 0:
        colours = list(lot.colours)
        entries.append(LotResult(at=at, part=lot.part, colours=colours, pieces=here, accepted=False))
    return entries


def to_mould_again(campaign: Campaign, logged: Sequence[AnyEntry], more: Sequence[AnyEntry], lot: Lot) -> int:
    """Good pieces that are missing beyond what was missing before, by the rule by which it is planned again."""
    at = max([campaign.start, *(entry.at for entry in (*logged, *more))])
    before, after = (_missing(campaign, entries, at, lot) for entries in (logged, [*logged, *more]))
    return max(0, after - before)


def _missing(campaign: Campaign, entries: Sequence[AnyEntry], at: datetime, lot: Lot) -> int:
    now = from_here(campaign, None, Actuals(as_of=at, entries=list(entries))).campaign
    stock = sum(s.count for s in now.parts[lot.part].stock if tuple(s.colours) == lot.colours)
    return max(0, ordered_items(now)[lot.part, lot.colours] - stock)


def _pieces(campaign: Campaign, lot: Lot, parcel: CameBack) -> int:
    units, _ = contents_of(campaign, parcel)
    return sum(
        number * parts_of_unit(campaign, product, way)[lot.part, lot.colours]
        for (product, way), number in units.items()
    )


def _note(lot: Lot) -> str:
    return f"may hold {lot.part} {'/'.join(lot.colours)} of a rejected lot"
