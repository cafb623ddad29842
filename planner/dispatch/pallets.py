"""Equal cartons on a pallet: how many in a layer, how many layers, how many pallets.

The layer is the pallet loading problem. A rectangle is cut straight or into five blocks round a middle one,
each block again (Morabito & Morales, Journal of the Operational Research Society 49, 1998), on the grid of
sums of carton sides only. The bound beside it says how far off it can be at most.
"""

from bisect import bisect_right
from dataclasses import dataclass
from functools import lru_cache
from math import floor, gcd

import numpy as np


@dataclass(frozen=True)
class Pallet:
    """Deck length and width, own height and highest total in mm; own weight and largest load in kg."""

    length: int
    width: int
    height: int
    kg: float
    largest_load_kg: float
    highest_mm: int


EUR = Pallet(1200, 800, 144, 25.0, 1500.0, 1800)
"""As the European Pallet Association describes it; the highest total is common practice, no source."""

# Blocks within blocks are tried where a layer holds at most this many; beyond, one level comes close enough.
_INTERLOCK_UP_TO = 60


@dataclass(frozen=True)
class Load:
    """Cartons of one size on pallets.

    per_layer, at_most: cartons found for a layer, and the bound on any layout.
    pallets: all pallets, the last one with `last` cartons on it.
    height_mm, gross_kg: of a full pallet, deck and own weight included. limited_by: "height" or "weight".
    """

    per_layer: int
    at_most: int
    per_pallet: int
    pallets: int
    last: int
    height_mm: int
    gross_kg: float
    limited_by: str


@lru_cache(maxsize=4096)
def layer(length: int, width: int, carton: tuple[int, int]) -> tuple[int, int]:
    """Cartons of `carton` mm (length, width) found for a deck, and a bound on what any layout could hold."""
    if min(carton) <= 0:
        raise ValueError("carton sides must be above 0 mm")
    # Cartons need start only at sums of their own sides: everything in units of the sides' common divisor.
    unit = gcd(*carton)
    long, short = max(carton) // unit, min(carton) // unit
    x, y = max(length, width) // unit, min(length, width) // unit
    sums = _sums(x, long, short)
    x, y = sums[bisect_right(sums, x) - 1], sums[bisect_right(sums, y) - 1]
    bound = _barnes(x, y, long, short)
    cut = _Blocks(sums, long, short, interlock=False)
    found = max(cut.best(x, y), cut.interlocked(x, y))
    if found < bound and x * y <= _INTERLOCK_UP_TO * long * short:
        found = max(found, _Blocks(sums, long, short, interlock=True).best(x, y))
    return found, bound


class _Blocks:
    """Best count for every rectangle whose sides are sums of carton sides, smaller rectangles first."""

    def __init__(self, sums: list[int], long: int, short: int, interlock: bool) -> None:
        self._sums = np.array(sums)
        self._fitting = np.searchsorted(self._sums, np.arange(sums[-1] + 1), "right") - 1
        self._long, self._short = long, short
        self._most = np.zeros((len(sums), len(sums)), dtype=np.int64)
        for i, x in enumerate(sums):
            for j, y in enumerate(sums[: i + 1]):
                self._most[i, j] = self._most[j, i] = self._one(i, j, x, y, interlock)

    def best(self, x: int, y: int) -> int:
        """Count for an x by y rectangle."""
        return int(self._most[self._fitting[x], self._fitting[y]])

    def _one(self, i: int, j: int, x: int, y: int, interlock: bool) -> int:
        long, short = self._long, self._short
        most = max((x // long) * (y // short), (x // short) * (y // long))
        bound = _barnes(x, y, long, short)
        if most < bound:
            across, along = self._sums[:i], self._sums[:j]
            upright = self._most[:i, j] + self._most[self._fitting[x - across], j]
            level = self._most[i, :j] + self._most[i, self._fitting[y - along]]
            most = max(most, int(upright[1:].max(initial=0)), int(level[1:].max(initial=0)))
        if most < bound and interlock:
            most = max(most, self.interlocked(x, y))
        return most

    def interlocked(self, x: int, y: int) -> int:
        """Best of five blocks round a middle one, over all pairs of inner edges on both sides."""
        xs = self._sums[(self._sums > 0) & (self._sums < x)]
        ys = self._sums[(self._sums > 0) & (self._sums < y)]
        if len(xs) < 2 or len(ys) < 2:
            return 0
        first, second = np.triu_indices(len(ys), 1)
        y1, y2 = ys[first], ys[second]
        a, b, c = self._fitting[y - y1], self._fitting[y - y2], self._fitting[y2 - y1]
        low, high = self._fitting[y1], self._fitting[y2]
        most = 0
        for n, x1 in enumerate(xs[:-1]):
            x2 = xs[n + 1 :, None]
            count = (
                self._most[self._fitting[x1], a]
                + self._most[self._fitting[x - x1], b]
                + self._most[self._fitting[x2 - x1], c]
                + self._most[self._fitting[x2], low]
                + self._most[self._fitting[x - x2], high]
            )
            most = max(most, int(count.max()))
        return most


def _barnes(x: int, y: int, long: int, short: int) -> int:
    """Bound on long x short tiles in x by y: tiles cut into strips of width 1 already waste some area.

    Source: Barnes, Packing the maximum number of m x n tiles in a large p x q rectangle, Discrete
    Mathematics 26, 1979.
    """
    waste = 0
    for side in (long, short):
        r, s = x % side, y % side
        waste = max(waste, min(r * s, (side - r) * (side - s)))
    return (x * y - waste) // (long * short)


def load(cartons: int, outside: tuple[int, int, int], gross_kg: float, pallet: Pallet = EUR) -> Load | None:
    """Put `cartons` equal cartons (outside mm, standing; gross kg each) on pallets; None: not one goes on."""
    per_layer, at_most = layer(pallet.length, pallet.width, outside[:2])
    by_height = per_layer * ((pallet.highest_mm - pallet.height) // outside[2])
    by_weight = floor(round(pallet.largest_load_kg / gross_kg, 9)) if gross_kg > 0 else by_height
    per_pallet = min(by_height, by_weight)
    if cartons < 1 or per_pallet < 1:
        return None
    pallets = -(-cartons // per_pallet)
    on_full = min(per_pallet, cartons)
    return Load(
        per_layer=per_layer,
        at_most=at_most,
        per_pallet=per_pallet,
        pallets=pallets,
        last=cartons - (pallets - 1) * per_pallet,
        height_mm=pallet.height + -(-on_full // per_layer) * outside[2],
        gross_kg=pallet.kg + on_full * gross_kg,
        limited_by="weight" if by_weight < by_height else "height",
    )


def _sums(reach: int, long: int, short: int) -> list[int]:
    """All sums of carton sides up to `reach` mm, rising from 0: cartons need end nowhere else."""
    longs, shorts = range(0, reach + 1, long), range(0, reach + 1, short)
    return sorted({a + b for a in longs for b in shorts if a + b <= reach})
