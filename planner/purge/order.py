"""The order of a set of colours that purges least, from what the barrel holds now, each colour once.

Up to `EXACT_UP_TO` colours by dynamic programming, which proves it; above by `local_search`.

References
----------
Held and Karp, Journal of the Society for Industrial and Applied Mathematics 10, 1962.
Light to dark: "Processing data for the injection molder", Covestro, section 2.2.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from planner.purge.colour import Appearance
from planner.purge.difference import Array
from planner.purge.local_search import searched_order
from planner.purge.matrix import PurgeFigures

EXACT_UP_TO = 14


@dataclass(frozen=True)
class ColourOrder:
    """An order of the colours' indices, its total (unit of the costs), and whether it is proven best."""

    sequence: tuple[int, ...]
    total: float
    proven: bool


def order_total(costs: Array, sequence: Sequence[int], start: Array | None = None) -> float:
    """Return the cost of `sequence`: start[first], if given, and costs[i, j] of each step."""
    if not sequence:
        return 0.0
    begin = 0.0 if start is None else float(start[sequence[0]])
    return begin + float(sum(costs[i, j] for i, j in pairwise(sequence)))


def light_to_dark(appearances: Sequence[Appearance | None]) -> tuple[int, ...]:
    """Return the rule of thumb's order: falling CIELAB lightness, undescribed colours last.

    First listed first among equals.
    """
    lightness = [-1.0 if a is None else a.lab[0] for a in appearances]
    return tuple(sorted(range(len(appearances)), key=lambda i: -lightness[i]))


@dataclass(frozen=True)
class OrderAgainstRule:
    """The best order of some melts and the light-to-dark order, as indices of the melts in the figures.

    best.total and rule_kg: kg purged, the change from what the barrel holds included.
    """

    best: ColourOrder
    rule: tuple[int, ...]
    rule_kg: float


def order_against_rule(
    figures: PurgeFigures, wanted: Sequence[int], holds: int | None = None, seed: int = 0
) -> OrderAgainstRule:
    """Order the melts `wanted` (indices in `figures`) from what the barrel `holds`, None for clean."""
    melts = list(wanted)
    costs = figures.kg[np.ix_(melts, melts)]
    start = np.zeros(len(melts)) if holds is None else figures.kg[holds, melts]
    rule = light_to_dark([figures.melts[k].appearance for k in melts])
    best = best_order(costs, start, [rule], seed)
    return OrderAgainstRule(
        ColourOrder(tuple(melts[k] for k in best.sequence), best.total, best.proven),
        tuple(melts[k] for k in rule),
        order_total(costs, rule, start),
    )


def best_order(
    costs: Array, start: Array | None = None, tries: Sequence[Sequence[int]] = (), seed: int = 0
) -> ColourOrder:
    """Find the cheapest order of all n colours.

    costs: (n, n), from i to j at [i, j], 0 or more; asymmetric, triangle inequality not needed.
    start: (n,), from what the barrel holds now to each colour; left out: a clean barrel.
    tries: orders already known, such as light to dark; the answer is never worse than any of them.
    seed: for the search above `EXACT_UP_TO` colours; the same seed gives the same order.

    Raises ValueError when shapes do not fit or a cost is not finite.
    """
    n = len(costs)
    first = np.zeros(n) if start is None else np.asarray(start, float)
    if costs.shape != (n, n) or first.shape != (n,):
        raise ValueError(f"costs {costs.shape} and start {first.shape} must be (n, n) and (n,)")
    if not (np.isfinite(costs).all() and np.isfinite(first).all()):
        raise ValueError("costs must be finite; leave out colours that may not follow each other")
    exact = n <= EXACT_UP_TO
    sequence = _held_karp(costs, first) if exact else searched_order(costs, first, tries, seed)
    return ColourOrder(tuple(sequence), order_total(costs, sequence, first), exact)


def _held_karp(costs: Array, first: Array) -> list[int]:
    """Shortest open path through all n colours, one layer of equally large sets at a time."""
    n = len(first)
    if n == 0:
        return []
    sets = np.arange(1 << n)
    members = (sets[:, None] >> np.arange(n)) & 1
    size = members.sum(axis=1)
    best = np.full((1 << n, n), np.inf)
    came = np.zeros((1 << n, n), dtype=np.int8)
    best[1 << np.arange(n), np.arange(n)] = first
    for layer in range(1, n):
        done = sets[size == layer]
        for new in range(n):
            without = done[members[done, new] == 0]
            through = best[without] + costs[:, new]
            last = through.argmin(axis=1)
            grown = without | (1 << new)
            best[grown, new] = through[np.arange(without.size), last]
            came[grown, new] = last
    left = (1 << n) - 1
    at = int(best[left].argmin())
    sequence = [at]
    for _ in range(n - 1):
        left, at = left ^ (1 << at), int(came[left, at])
        sequence.append(at)
    return sequence[::-1]
