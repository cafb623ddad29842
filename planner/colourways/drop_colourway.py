"""The campaign without one of its colourways."""

from collections import Counter
from typing import Literal

from planner.campaign import Campaign
from planner.campaign.pointers import pointer
from planner.colourways.changed import Changed, checked, recoloured, units_by_colourway, with_colourways, with_orders
from planner.colourways.sharing import Sharing
from planner.demand.items import units_of
from planner.errors import CampaignProblems, Problem

Orders = Literal["move", "drop"]
"""move: its orders go to the other colourways, by their share of the units ordered. drop: every order that
holds one of its units goes as a whole, since a tier is packed whole."""


def without(campaign: Campaign, product: str, colourway: str, orders: Orders = "move") -> Changed:
    """The campaign without a colourway of a product.

    Units of one order that were alike stay alike. Parts in stock in the dropped colours stay in stock.
    Raises CampaignProblems where there is no such colourway, no other one, or nothing left to make.
    """
    _known(campaign, product, colourway)
    kept = {name: parts for name, parts in campaign.products[product].colourways.items() if name != colourway}
    ordered = units_by_colourway(campaign, product)
    del ordered[colourway]
    total = sum(ordered.values())
    shares = {name: ordered[name] / total if total else 1 / len(kept) for name in kept}
    sharing, lines = Sharing(shares), []
    moved: Counter[str] = Counter()
    dropped = 0
    for line in campaign.orders:
        units = units_of(line)[product, colourway]
        if not units:
            lines.append(line)
        elif orders == "drop":
            dropped += line.count
        else:
            for name, count in sharing.all_of(line.count).items():
                lines.append(recoloured(line, product, colourway, name, count))
                moved[name] += units * count
    if not lines:
        raise CampaignProblems(
            [Problem("/orders", f"every order holds `{colourway}`: without it nothing is left", "move its orders")]
        )
    smaller = with_orders(with_colourways(campaign, product, kept), lines)
    return Changed(checked(smaller), dict(sorted(moved.items())), dropped)


def _known(campaign: Campaign, product: str, colourway: str) -> None:
    problems = []
    if product not in campaign.products:
        known = ", ".join(f"`{name}`" for name in sorted(campaign.products))
        problems.append(
            Problem(pointer("products", product), f"there is no product `{product}`", f"use one of {known}")
        )
    elif colourway not in campaign.products[product].colourways:
        known = ", ".join(f"`{name}`" for name in sorted(campaign.products[product].colourways))
        problems.append(
            Problem(
                pointer("products", product, "colourways", colourway),
                f"`{product}` has no colourway `{colourway}`",
                f"use one of {known}",
            )
        )
    elif len(campaign.products[product].colourways) == 1:
        problems.append(
            Problem(
                pointer("products", product, "colourways", colourway),
                f"`{colourway}` is the only colourway of `{product}`",
                "price one more instead",
            )
        )
    if problems:
        raise CampaignProblems(problems)
