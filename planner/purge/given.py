"""Figures given for a pair of melts, by the moulder or a supplier: trusted before an estimate."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from planner.purge.estimate import MeltKey
from planner.purge.factor import P90

GIVEN_SPREAD = 0.25
"""Spread (natural log) of a given figure without its own range; common practice, no source."""


@dataclass(frozen=True)
class GivenPurge:
    """A figure given for a pair: kg, with its own P10 and P90 if known."""

    old: MeltKey
    new: MeltKey
    kg: float
    low_kg: float | None = None
    high_kg: float | None = None

    def __post_init__(self) -> None:
        low, high = self.range_kg
        if not 0 <= low <= self.kg <= high < math.inf:
            raise ValueError(
                f"given purge from {self.old} to {self.new}: {self.kg} kg must be 0 or more "
                f"and lie in its range {low} to {high} kg"
            )

    @property
    def range_kg(self) -> tuple[float, float]:
        wide = math.exp(P90 * GIVEN_SPREAD)
        low = self.kg / wide if self.low_kg is None else self.low_kg
        high = self.kg * wide if self.high_kg is None else self.high_kg
        return low, high


def given_pairs(given: Iterable[GivenPurge], index: Mapping[MeltKey, int]) -> dict[tuple[int, int], GivenPurge]:
    """Return the figures by index pair; those naming melts that are not in `index` are passed over.

    Raises ValueError for a pair given twice or from a melt to itself.
    """
    pairs: dict[tuple[int, int], GivenPurge] = {}
    for one in given:
        if one.old == one.new:
            raise ValueError(f"given purge from {one.old} to itself; a melt needs no purge to follow itself")
        if one.old in index and one.new in index:
            pair = (index[one.old], index[one.new])
            if pair in pairs:
                raise ValueError(f"purge from {one.old} to {one.new} is given twice; keep one figure")
            pairs[pair] = one
    return pairs
