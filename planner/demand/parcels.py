"""Orders gathered into pack groups and cut into pack batches."""

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from typing import NamedTuple

from planner.campaign import Campaign
from planner.campaign.carriers import ELSEWHERE
from planner.campaign.orders import contents_of
from planner.demand.carriers import ONLY, pick_ups_of, way_for
from planner.demand.cartons import box_for, of_products
from planner.demand.items import ordered_items
from planner.demand.parts import CouldBeReady, OrderPart, Pieces, Units, alike, order_parts


@dataclass(frozen=True)
class Batch:
    """Parcels that are alike and packed in one go.

    units: per parcel, ((product, colourway), number) sorted. pieces: per parcel, (piece, number) sorted, carton
    included.
    lines: (index of the order line, orders of it in this batch).
    part, parts: which of its orders' parcels these are, from 1; late_share: of the order's units. opens: day from which
    they can be packed; None: the start. carrier: whom they go with, where there are several. door_days: calendar days
    from the hand-over to the door, at the most, where that is what is promised. hand_over_by: day by which they should
    have left, None where nothing is promised.
    """

    tier: str
    region: str
    units: Units
    pieces: Pieces
    parcels: int
    lines: tuple[tuple[int, int], ...]
    part: int = 1
    parts: int = 1
    late_share: Fraction = Fraction(1)
    opens: date | None = None
    carrier: str = ""
    door_days: int = 0
    hand_over_by: date | None = None


def region_of(campaign: Campaign, country: str) -> str:
    """The region whose parcels travel together; `ELSEWHERE` where none names the country."""
    return next((r for r, countries in campaign.regions.items() if country in countries), ELSEWHERE)


def pack_batches(campaign: Campaign) -> list[Batch]:
    """Pack batches of every pack group, in a fixed order; parcels of a group as equally shared as can be."""
    groups: dict[PackGroup, list[tuple[int, int]]] = defaultdict(list)
    ready = CouldBeReady(campaign, ordered_items(campaign))
    ways = Ways(campaign)
    known: dict[Hashable, list[OrderPart]] = {}
    for index, line in enumerate(campaign.orders):
        key = contents_of(line)
        if key not in known:
            known[key] = order_parts(campaign, ready, alike(campaign, line))
        region = region_of(campaign, line.country)
        for n, part in enumerate(known[key]):
            opens = line.opens if line.opens is not None and line.opens > campaign.start.date() else date.min
            way = ways.of((key, n), line.tier, part, line.country)
            groups[PackGroup(line.tier, region, part, opens, *way)].append((index, line.count))
    batches = []
    for group in sorted(groups, key=_in_order):
        lines_alike, part = groups[group], group.part
        packed = with_carton(campaign, group.tier, part.units, part.pieces, group.carrier)
        total = sum(count for _, count in lines_alike)
        most = min(campaign.packing.batch_parcels, pick_ups_of(campaign, group.carrier).parcels)
        number = -(-total // most)
        sizes = [total // number + (1 if n < total % number else 0) for n in range(number)]
        tier = campaign.tiers[group.tier]
        promised = tier.promised_in.get(group.region, tier.promised)
        for size, lines in zip(sizes, _share(lines_alike, sizes), strict=True):
            batches.append(
                Batch(
                    group.tier,
                    group.region,
                    part.units,
                    packed,
                    size,
                    lines,
                    part.number,
                    part.of,
                    part.share,
                    None if group.opens == date.min else group.opens,
                    group.carrier,
                    group.door_days,
                    None if promised is None else promised - timedelta(days=group.door_days),
                )
            )
    return batches


class PackGroup(NamedTuple):
    """Parcels that are alike (B2). opens: `date.min` where they can be packed from the start."""

    tier: str
    region: str
    part: OrderPart
    opens: date
    carrier: str
    door_days: int


class Ways:
    """Whom each order part goes with, and the most days to its door where that is what is promised."""

    def __init__(self, campaign: Campaign) -> None:
        self.campaign = campaign
        self._known: dict[Hashable, tuple[str, int]] = {}

    def of(self, contents: Hashable, tier: str, part: OrderPart, country: str) -> tuple[str, int]:
        """(carrier, door days). contents: equal only where the part's are."""
        to_door = self.campaign.tiers[tier].promised_to == "door"
        if not to_door and not self.campaign.carriers:
            return ONLY, 0
        key = contents, country
        if key not in self._known:
            way = way_for(self.campaign, tier, of_products(part.units), part.pieces, country)
            if way is None:
                raise ValueError(f"no carrier takes an order of tier {tier} to {country}")
            self._known[key] = way.carrier, way.door_days[1] if to_door and way.door_days else 0
        return self._known[key]


def pieces_used(campaign: Campaign, batches: Iterable[Batch]) -> Counter[str]:
    """Bought-in pieces that assembly and packing of all batches take."""
    used: Counter[str] = Counter(dict.fromkeys(campaign.pieces, 0))
    for batch in batches:
        for packed, n in batch.pieces:
            used[packed] += n * batch.parcels
        for (product, _), n in batch.units:
            for assembled, per_unit in campaign.products[product].pieces.items():
                used[assembled] += per_unit * n * batch.parcels
    return used


def _in_order(group: PackGroup) -> tuple[str, int, int, Fraction, date, str, int]:
    tier, region, part, opens, carrier, door = group
    return repr((tier, region, part.units, part.pieces)), part.number, part.of, part.share, opens, carrier, door


def with_carton(campaign: Campaign, tier: str, units: Units, pieces: Pieces, with_carrier: str = "") -> Pieces:
    """The pieces of one parcel with the carton it takes, where the tier names some.

    Raises ValueError where none of them takes the contents, which a cross-check of the campaign says first.
    """
    box = box_for(campaign, tier, of_products(units), pieces, with_carrier)
    if box is None:
        return pieces
    if box.carton is None:
        raise ValueError(f"no carton takes an order of tier {tier}: {dict(box.tried)}")
    return tuple(sorted(Counter({box.carton.id: 1, **dict(pieces)}).items()))


def _share(lines: list[tuple[int, int]], sizes: list[int]) -> list[tuple[tuple[int, int], ...]]:
    """Deal order lines out to batches of the given sizes, in order; a line may go on in the next batch."""
    dealt = []
    queue = list(reversed(lines))
    for size in sizes:
        taken = []
        while size:
            index, count = queue.pop()
            use = min(count, size)
            taken.append((index, use))
            size -= use
            if count > use:
                queue.append((index, count - use))
        dealt.append(tuple(taken))
    return dealt
