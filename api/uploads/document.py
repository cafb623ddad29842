"""Order lines as read become order lines of the campaign document; choices not made yet get a planned colourway."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from api.uploads.known import Known
from api.uploads.report import OrderLine
from planner.campaign.orders import OrderLine as CampaignLine
from planner.demand.choices import Answered, ChoicesPlanned, OpenChoice, plan_missing


@dataclass(frozen=True)
class PlannedOrders:
    """Lines for the campaign document, and what was planned where no choice was made.

    choices.pools hold the rule, the planned units and the safety units by colourway; listed: (row, ref, unit from 1,
    product, colourway, orders) for each choice planned, for the maker to see and to ask after.
    """

    orders: list[CampaignLine]
    choices: ChoicesPlanned
    listed: list[tuple[int, str, int, str, str, int]]


def planned_orders(lines: Iterable[OrderLine], known: Known, safety_share: float = 0.05) -> PlannedOrders:
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
    for at, line in enumerate(lines):
        units = known.tiers[line.tier].units
        for unit, (product, _) in enumerate(units):
            for colourway, count in planned.get((at, unit), ()):
                listed.append((line.row, line.ref, unit + 1, product, colourway, count))
        for colourways, count in _filled(at, line, planned):
            orders.append(_campaign_line(line, [product for product, _ in units], colourways, count))
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


def _campaign_line(line: OrderLine, products: list[str], colourways: tuple[str, ...], count: int) -> CampaignLine:
    units: dict[str, list[str]] = {}
    for product, colourway in zip(products, colourways, strict=True):
        units.setdefault(product, []).append(colourway)
    extra_units: dict[str, list[str]] = {}
    extra_pieces: dict[str, int] = {}
    for name, number in line.add_ons.items():
        product, cut, colourway = name.partition("/")
        if cut:
            extra_units.setdefault(product, []).extend([colourway] * number)
        else:
            extra_pieces[name] = number
    return CampaignLine(
        ref=line.ref,
        tier=line.tier,
        units=units,
        extra_units=extra_units,
        extra_pieces=extra_pieces,
        country=line.country,
        count=count,
    )
