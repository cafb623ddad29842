"""An order in parts: which of its units go in which parcel, where its tier ships what is ready first."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from itertools import pairwise

from planner.calendars.moments import first_moment
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.demand.items import Item, good_parts, ordered_units, parts_of_unit, pieces_of, units_of
from planner.demand.shared_parts import makers
from planner.readiness import ready_days

Unit = tuple[str, str]
"""A product and its colourway."""

Units = tuple[tuple[Unit, int], ...]
Pieces = tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class OrderPart:
    """One parcel of an order: the `number`-th of `of`, first to be ready first.

    units: ((product, colourway), number) sorted. pieces: (piece, number) sorted, without a carton.
    share: of the order's units; what a day's lateness of this parcel counts.
    """

    number: int
    of: int
    units: Units
    pieces: Pieces
    share: Fraction


class CouldBeReady:
    """When each unit and piece of a campaign could be there at the earliest, by what the campaign says alone.

    A unit whose parts stock covers: at the start; else when the last of its parts has a tool that is ready. A piece: at
    the start if any is in stock, else with its first delivery. A unit waits for its pieces too.
    """

    def __init__(self, campaign: Campaign, ordered: Mapping[Item, int]) -> None:
        self._campaign, self._ordered = campaign, ordered
        self._makers = makers(campaign)
        self._ready = ready_days(campaign)
        self._known: dict[Unit, datetime] = {}
        self._place = {
            (product, colourway): n
            for n, (product, colourway) in enumerate(
                (product, colourway) for product, made in campaign.products.items() for colourway in made.colourways
            )
        }

    def unit(self, unit: Unit) -> datetime:
        """Wall-clock moment of a product in a colourway."""
        if unit not in self._known:
            product, colourway = unit
            moments = [self.piece(piece) for piece in self._campaign.products[product].pieces]
            moments += [self._item(item) for item in parts_of_unit(self._campaign, product, colourway)]
            self._known[unit] = max(moments)
        return self._known[unit]

    def piece(self, piece: str) -> datetime:
        """Wall-clock moment of a bought-in piece."""
        start, bought = self._campaign.start, self._campaign.pieces.get(piece)
        if bought is None or bought.stock:
            return start
        comes = [first_moment(arrival.on) for arrival in bought.arrivals]
        comes += [start + timedelta(days=other.lead_days) for other in bought.also_from]
        if bought.lead_days is not None:
            comes.append(start + timedelta(days=bought.lead_days))
        return max(start, min(comes, default=start))

    def rank(self, unit: Unit) -> tuple[datetime, int]:
        """First to be ready first; among equals as the campaign lists its products and colourways."""
        return self.unit(unit), self._place[unit]

    def _item(self, item: Item) -> datetime:
        part, colours = item
        start = self._campaign.start
        *_, to_mould = good_parts(self._campaign, part, colours, self._ordered.get(item, 0))
        ready = [self._ready.get(tool) for tool in self._makers.get(part, [])]
        if not to_mould or not ready or None in ready:
            return start
        return max(start, min(first_moment(day) for day in ready if day is not None))


Alike = tuple[str, Units, Pieces, int, int]
"""What tells how an order is cut: its tier, units and pieces still to go, parcels gone, units ordered in all."""


def alike(campaign: Campaign, line: OrderLine) -> Alike:
    """The orders of a line, as `order_parts` takes them."""
    units, pieces = sorted(units_of(line).items()), sorted(pieces_of(campaign, line).items())
    return line.tier, tuple(units), tuple(pieces), line.gone.parcels if line.gone else 0, ordered_units(line)


def order_parts(campaign: Campaign, ready: CouldBeReady, orders: Alike) -> list[OrderPart]:
    """The parcels of one order, in the order in which they could be ready; one where its tier ships whole orders.

    As many as the tier allows and the order has different units: those are ranked by when they could be ready and cut
    at the widest gaps, among equal gaps so that the parts are as equal as can be, then the earlier.
    """
    tier, units, pieces, gone, total = orders
    split = campaign.tiers[tier].split
    most = max(1, split.parcels - gone) if split is not None and split.ship == "in parts" else 1
    if most == 1 or len(units) <= 1:
        share = Fraction(sum(n for _, n in units), total) if total else Fraction(1)
        return [OrderPart(gone + 1, gone + 1, units, pieces, share)]
    ranked = sorted(units, key=lambda one: ready.rank(one[0]))
    groups = _cut(ranked, [ready.unit(unit) for unit, _ in ranked], min(most, len(ranked)))
    beside: list[Counter[str]] = [Counter() for _ in groups]
    for piece, n in pieces:
        there = ready.piece(piece)
        first = next((k for k, group in enumerate(groups) if ready.unit(group[-1][0]) >= there), len(groups) - 1)
        beside[first][piece] += n
    return [
        OrderPart(
            gone + k + 1,
            gone + len(groups),
            tuple(sorted(group)),
            tuple(sorted(beside[k].items())),
            Fraction(sum(n for _, n in group), total),
        )
        for k, group in enumerate(groups)
    ]


def _cut(ranked: list[tuple[Unit, int]], moments: list[datetime], parts: int) -> list[list[tuple[Unit, int]]]:
    cuts = [0, len(ranked)]
    for _ in range(parts - 1):
        options = []
        for begin, end in pairwise(cuts):
            for at in range(begin + 1, end):
                options.append((moments[at - 1] - moments[at], max(at - begin, end - at), at))
        cuts = sorted([*cuts, min(options)[2]])
    return [ranked[a:b] for a, b in pairwise(cuts)]
