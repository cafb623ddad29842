"""Prices of what is bought by the quantity: whether more of it ever costs more."""

from collections.abc import Iterable

Break = tuple[float, float]
"""From how many pieces or kg on, and the price of each."""


def dearer_for_more(price: float, breaks: Iterable[Break]) -> tuple[Break, Break] | None:
    """The first two prices of which the one for more is higher: from how many on, and the price of each.

    price: of each piece or kg below the first break. None: more never costs more.
    """
    before = (0.0, price)
    for now in sorted(breaks):
        if now[1] > before[1]:
            return before, now
        before = now
    return None
