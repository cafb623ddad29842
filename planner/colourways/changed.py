"""A campaign with another set of colourways, and what became of the orders."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from planner.campaign import Campaign
from planner.campaign.orders import OrderLine
from planner.demand.items import units_of
from planner.errors import CampaignProblems
from planner.reading.checks import check


@dataclass(frozen=True)
class Changed:
    """A campaign that can be planned, and what the change did to its orders.

    moved: units by the colourway they went to; orders_dropped: parcels that are not made any more.
    """

    campaign: Campaign
    moved: dict[str, int]
    orders_dropped: int


def units_by_colourway(campaign: Campaign, product: str) -> Counter[str]:
    """Units ordered of a product, by colourway."""
    found: Counter[str] = Counter()
    for line in campaign.orders:
        for (made, colourway), units in units_of(line).items():
            if made == product:
                found[colourway] += units * line.count
    return found


def recoloured(line: OrderLine, product: str, old: str, new: str, count: int) -> OrderLine:
    """`count` orders of the line with every unit of one colourway in another."""

    def swapped(units: dict[str, list[str]]) -> dict[str, list[str]]:
        return {
            made: [new if made == product and colourway == old else colourway for colourway in chosen]
            for made, chosen in units.items()
        }

    changes = {"units": swapped(line.units), "count": count}
    if line.extra_units:
        changes["extra_units"] = swapped(line.extra_units)
    return line.model_copy(update=changes)


def checked(campaign: Campaign) -> Campaign:
    """The campaign, if its cross-checks find nothing; raises CampaignProblems otherwise."""
    problems = check(campaign)
    if problems:
        raise CampaignProblems(problems)
    return campaign


def with_colourways(campaign: Campaign, product: str, colourways: dict[str, dict[str, list[str]]]) -> Campaign:
    """The campaign with these colourways of a product; spare units of others are not made."""
    made = campaign.products[product]
    spare = {colourway: units for colourway, units in made.spare_units.items() if colourway in colourways}
    in_hand = {colourway: units for colourway, units in made.assembled.items() if colourway in colourways}
    made = made.model_copy(update={"colourways": colourways, "spare_units": spare, "assembled": in_hand})
    return campaign.model_copy(update={"products": campaign.products | {product: made}})


def with_orders(campaign: Campaign, orders: Iterable[OrderLine]) -> Campaign:
    """The campaign with these orders."""
    return campaign.model_copy(update={"orders": list(orders)})
