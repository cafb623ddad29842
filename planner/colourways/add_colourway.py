"""The campaign with one more colourway."""

from collections import Counter
from collections.abc import Mapping, Sequence

from planner.campaign import Campaign
from planner.campaign.materials import Colour
from planner.campaign.orders import OrderLine
from planner.campaign.pointers import pointer
from planner.colourways.changed import Changed, checked, recoloured, with_colourways, with_orders
from planner.colourways.sharing import Sharing
from planner.demand.items import units_of
from planner.errors import CampaignProblems, Problem

LARGEST_SHARE = 0.5
"""More than half of what others have now is another campaign, not one more colourway."""


def with_another(
    campaign: Campaign,
    product: str,
    colourway: str,
    parts: Mapping[str, Sequence[str]],
    share: float | None = None,
    colours: Mapping[str, Colour] | None = None,
) -> Changed:
    """The campaign with one more colourway of a product, which takes a share of every other one's units.

    parts: part -> one colour per barrel. share: of the units ordered, above 0 to a half; None: as much as each
    of the others would have if all had the same. colours: masterbatches the campaign doesn't have yet.
    Orders stay as many as they are: in some of them one colourway is the new one instead.

    Raises CampaignProblems where the product is unknown, the name is taken, or the colours don't fit the parts.
    """
    if product not in campaign.products:
        known = ", ".join(f"`{name}`" for name in sorted(campaign.products))
        raise CampaignProblems(
            [Problem(pointer("products", product), f"there is no product `{product}`", f"use one of {known}")]
        )
    present = campaign.products[product].colourways
    taken = [Problem(pointer("products", product, "colourways", colourway), f"there is a `{colourway}` already",
                     "choose another name")] if colourway in present else []  # fmt: skip
    taken += [
        Problem(pointer("colours", name), f"there is a colour `{name}` already", "choose another name")
        for name in sorted(set(colours or {}) & set(campaign.colours))
    ]
    if taken:
        raise CampaignProblems(taken)
    asked = 1 / (len(present) + 1) if share is None else share
    if not 0 < asked <= LARGEST_SHARE:
        raise CampaignProblems([Problem("/share", f"a share of {asked:g} must be above 0 and at most 0.5")])
    larger = campaign.model_copy(update={"colours": campaign.colours | dict(colours or {})})
    larger = with_colourways(larger, product, present | {colourway: {part: list(c) for part, c in parts.items()}})
    sharing, lines = Sharing(dict.fromkeys(present, asked)), []
    moved = 0
    for line in campaign.orders:
        units = Counter({made: n for (owner, made), n in units_of(line).items() if owner == product})
        pieces = _split(line, product, colourway, sharing, units)
        lines += pieces
        moved += sum(units_of(piece)[product, colourway] * piece.count for piece in pieces)
    return Changed(checked(with_orders(larger, lines)), {colourway: moved}, 0)


def _split(line: OrderLine, product: str, new: str, sharing: Sharing, units: Counter[str]) -> list[OrderLine]:
    """The line, some of its orders with one colourway in the new one."""
    pieces, left = [], line.count
    for old in sorted(units):
        count = sharing.of(old, line.count, left)
        if count:
            pieces.append(recoloured(line, product, old, new, count))
            left -= count
    return [*pieces, line.model_copy(update={"count": left})] if left else pieces
