"""Order lines as read become order lines of the campaign document; choices not made yet get a planned colourway."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from api.uploads.known import Known
from api.uploads.mapping import ColumnMapping
from api.uploads.orders import read_orders
from api.uploads.report import OrderLine, OrdersRead
from api.uploads.rows import Table
from planner.campaign.orders import OrderLine as CampaignLine
from planner.demand.choices import Answered, ChoicesPlanned, OpenChoice, plan_missing

SAFETY_SHARE = 0.05
"""Further units beside each planned colourway, as a share, where the maker says nothing. Common practice, no source."""


@dataclass(frozen=True)
class PlannedOrders:
    """Lines for the campaign document, and what was planned where no choice was made.

    choices.pools hold the rule, the planned units and the safety units by colourway; listed: (row, ref, unit from 1,
    product, colourway, orders) for each choice planned, for the maker to see and to ask after.
    """

    orders: list[CampaignLine]
    choices: ChoicesPlanned
    listed: list[tuple[int, str, int, str, str, int]]

    @property
    def spare_units(self) -> dict[str, dict[str, int]]:
        """The safety units of all pools as the campaign's products say them: product -> colourway -> units."""
        found: dict[str, Counter[str]] = {}
        for pool in self.choices.pools:
            found.setdefault(pool.product, Counter()).update(pool.safety)
        return {product: {c: n for c, n in sorted(units.items()) if n} for product, units in sorted(found.items())}

    def into(self, document: dict[str, Any]) -> dict[str, Any]:
        """A campaign document with these orders, and with the safety units as its products' spare units."""
        orders = [
            line.model_dump(mode="json", exclude_defaults=True) | {"country": line.country, "count": line.count}
            for line in self.orders
        ]
        spare = self.spare_units
        products = {
            name: {key: value for key, value in made.items() if key != "spare_units"}
            | ({"spare_units": spare[name]} if spare.get(name) else {})
            for name, made in document["products"].items()
        }
        return document | {"products": products, "orders": orders}


def taken(
    table: Table,
    mapping: ColumnMapping,
    known: Known,
    safety_share: float = SAFETY_SHARE,
    before: Sequence[OrderLine] = (),
) -> tuple[OrdersRead, PlannedOrders]:
    """A table read by a mapping, and planned where choices are open: the one way from a table to order lines.

    before: lines taken already, to which those of the table are added. Raises UnreadableFile and MappingProblem.
    """
    read = read_orders(table, mapping, known, before=before)
    return read, planned_orders([*before, *read.lines], known, safety_share)


def planned_orders(lines: Iterable[OrderLine], known: Known, safety_share: float = SAFETY_SHARE) -> PlannedOrders:
    """Campaign order lines for all lines read; a line whose open choices differ is cut into several."""
    lines = list(lines)
    answers: Counter[tuple[str, str, str]] = Counter()
    missing = []
    for at, line in enumerate(lines):
        for unit, (product, _) in enumerate(known.tiers[line.tier].units):
            colourway = line.colourways[unit]
            if colourway is None:
                missing.append(OpenChoice((at, unit), line.tier, product, line.count))
            else:
                answers[line.tier, product, colourway] += line.count
    answered = [Answered(tier, product, colourway, n) for (tier, product, colourway), n in answers.items()]
    offered = {product: sorted(colourways) for tier in known.tiers.values() for product, colourways in tier.units}
    choices = plan_missing(answered, missing, offered, safety_share)
    planned = {choice.key: choice.colourways for choice in choices.choices}
    orders: list[CampaignLine] = []
    listed = []
    alike: dict[object, CampaignLine] = {}
    for at, line in enumerate(lines):
        units = known.tiers[line.tier].units
        for unit, (product, _) in enumerate(units):
            for colourway, count in planned.get((at, unit), ()):
                listed.append((line.row, line.ref, unit + 1, product, colourway, count))
        for colourways, count in _filled(at, line, planned):
            contents = line.tier, colourways, tuple(line.add_ons.items()), line.country, line.opens
            first = alike.get(contents)
            if first is None:
                first = alike[contents] = _campaign_line(known, line, [p for p, _ in units], colourways)
            # Only the first of those alike is validated: that is a third of reading a large table.
            orders.append(first.again(line.ref, count))
    return PlannedOrders(orders, choices, listed)


def _filled(
    at: int, line: OrderLine, planned: dict[tuple[int, int], tuple[tuple[str, int], ...]]
) -> Iterator[tuple[tuple[str, ...], int]]:
    """The line's colourways with every open choice filled, and how many of its orders are so."""
    if None not in line.colourways:
        yield tuple(c for c in line.colourways if c is not None), line.count
        return
    columns = [
        [chosen] * line.count if chosen is not None else [c for c, n in planned[at, unit] for _ in range(n)]
        for unit, chosen in enumerate(line.colourways)
    ]
    yield from sorted(Counter(zip(*columns, strict=True)).items())


def _campaign_line(known: Known, line: OrderLine, products: list[str], colourways: tuple[str, ...]) -> CampaignLine:
    """What the line holds and where it goes; number and reference are each line's own."""
    units: dict[str, list[str]] = {}
    for product, colourway in zip(products, colourways, strict=True):
        units.setdefault(product, []).append(colourway)
    extra_units: dict[str, list[str]] = {}
    extra_pieces: dict[str, int] = {}
    for name, number in line.add_ons.items():
        unit = known.unit_of(name)
        if unit is not None:
            extra_units.setdefault(unit[0], []).extend([unit[1]] * number)
        else:
            extra_pieces[name] = number
    return CampaignLine(
        ref=line.ref,
        tier=line.tier,
        units=units,
        extra_units=extra_units,
        extra_pieces=extra_pieces,
        country=line.country,
        count=line.count,
        opens=line.opens,
    )
