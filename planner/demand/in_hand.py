"""Units assembled and not packed: which assembly job takes them, so that nobody assembles them again."""

from collections import Counter
from collections.abc import Iterable

from planner.campaign import Campaign


def taken_from_hand(campaign: Campaign, jobs: Iterable[tuple[int, str, str, int]]) -> list[int]:
    """Units of each job (batch, product, colourway, units) that are in hand: the first jobs listed take them."""
    left = Counter(
        {
            (name, colourway): units
            for name, product in campaign.products.items()
            for colourway, units in product.assembled.items()
        }
    )
    taken = []
    for _, product, colourway, units in jobs:
        here = min(units, left[product, colourway])
        left[product, colourway] -= here
        taken.append(here)
    return taken
