"""Exact sums on figures as a person wrote them, and what counts as the same after rounding."""

import math
from fractions import Fraction
from functools import lru_cache

KG = 0.0006
"""Kilograms a printed mass may be off by rounding to the gram."""

MONEY = 0.01
"""Currency units a printed amount may be off by rounding to the cent."""


@lru_cache(maxsize=10_000)
def exact(figure: float) -> Fraction:
    """The decimal figure as written (0.1 is one tenth), so that no sum depends on binary rounding."""
    return Fraction(str(figure))


def whole_up(amount: Fraction) -> int:
    """The smallest whole number at or above `amount`."""
    return math.ceil(amount)


def seconds_of(minutes: float) -> int:
    """Whole seconds that hold so many minutes."""
    return math.ceil(exact(minutes) * 60)


def same(one: float, other: float, slack: float) -> bool:
    """Equal within `slack` or a millionth, whichever is more."""
    return abs(one - other) <= max(slack, 1e-6 * max(abs(one), abs(other))) + 1e-9
