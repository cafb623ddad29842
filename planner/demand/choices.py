"""Colours that were not chosen yet: planned by the share of those who answered, with a safety share, and listed.

The rule, for each product: the answers of the same tier give the shares; with fewer than `ENOUGH` of them, the
answers of all tiers; with none at all, every colourway on offer counts alike. Shares become whole units by largest
remainders (Hamilton's method), so that planned units add up to the missing ones exactly.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

ENOUGH = 20
"""Answers of one tier from which its own shares are used. Common practice, no source."""


@dataclass(frozen=True)
class Answered:
    """Units of one product in one tier whose colourway is known."""

    tier: str
    product: str
    colourway: str
    units: int


@dataclass(frozen=True)
class OpenChoice:
    """One unit, in each of `orders` orders alike, whose colourway was not chosen.

    key: whatever tells the caller where the unit belongs, e.g. (row, unit); it comes back unchanged.
    """

    key: tuple[int, int]
    tier: str
    product: str
    orders: int = 1


@dataclass(frozen=True)
class PlannedChoice:
    """Colourways planned for one OpenChoice: (colourway, orders), adding up to its orders."""

    key: tuple[int, int]
    colourways: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class PlannedPool:
    """What was planned for one tier and product.

    missing: units without a choice; planned: units by colourway, adding up to `missing`.
    safety: further units by colourway, against answers that come out otherwise.
    rule: in words, with the number of answers behind it.
    """

    tier: str
    product: str
    missing: int
    planned: Mapping[str, int]
    safety: Mapping[str, int]
    rule: str


@dataclass(frozen=True)
class ChoicesPlanned:
    """All open choices with a colourway each, in the order asked, and the pools with their rule."""

    choices: tuple[PlannedChoice, ...]
    pools: tuple[PlannedPool, ...]


def plan_missing(
    answered: Iterable[Answered],
    missing: Sequence[OpenChoice],
    offered: Mapping[str, Sequence[str]],
    safety_share: float = 0.05,
) -> ChoicesPlanned:
    """Plan a colourway for every open choice.

    offered: the colourways of each product. safety_share: extra units on top of each colourway's planned ones,
    rounded up. Raises ValueError for a product without colourways or a negative safety share.
    """
    if safety_share < 0:
        raise ValueError(f"safety share {safety_share} must not be below 0")
    by_tier: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    by_product: dict[str, Counter[str]] = defaultdict(Counter)
    for answer in answered:
        by_tier[answer.tier, answer.product][answer.colourway] += answer.units
        by_product[answer.product][answer.colourway] += answer.units
    pools: dict[tuple[str, str], list[OpenChoice]] = defaultdict(list)
    for choice in missing:
        pools[choice.tier, choice.product].append(choice)
    done: dict[tuple[int, int], PlannedChoice] = {}
    planned = []
    for tier, product in sorted(pools):
        colourways = list(offered.get(product, ()))
        if not colourways:
            raise ValueError(f"product {product!r} has no colourways on offer")
        weights, rule = _shares(tier, product, by_tier[tier, product], by_product[product], colourways)
        total = sum(choice.orders for choice in pools[tier, product])
        quota = largest_remainder(total, weights)
        done |= {dealt.key: dealt for dealt in _dealt(pools[tier, product], quota)}
        safety = {c: ceil(round(n * safety_share, 9)) for c, n in quota.items()}
        planned.append(PlannedPool(tier, product, total, quota, safety, rule))
    return ChoicesPlanned(tuple(done[choice.key] for choice in missing), tuple(planned))


def largest_remainder(total: int, weights: Mapping[str, int]) -> dict[str, int]:
    """Split `total` in proportion to weights into whole numbers that add up to it; ties go to the first name."""
    whole = sum(weights.values())
    if whole <= 0 or min(weights.values()) < 0:
        raise ValueError("weights must not be negative, and one must be above 0")
    exact = {name: Fraction(total * weight, whole) for name, weight in weights.items()}
    parts = {name: int(share) for name, share in exact.items()}
    left = total - sum(parts.values())
    for name in sorted(exact, key=lambda n: (parts[n] - exact[n], n))[:left]:
        parts[name] += 1
    return parts


def _shares(
    tier: str, product: str, own: Counter[str], everyone: Counter[str], colourways: Sequence[str]
) -> tuple[dict[str, int], str]:
    for answers, whose in ((own, f"tier {tier}"), (everyone, "all tiers")):
        known = {c: answers[c] for c in colourways}
        number = sum(known.values())
        if number >= ENOUGH or (answers is everyone and number > 0):
            return known, f"{product}: shares of the {number} units answered in {whose}"
    return dict.fromkeys(colourways, 1), f"{product}: nobody has answered, all {len(colourways)} colourways alike"


def _dealt(choices: Sequence[OpenChoice], quota: Mapping[str, int]) -> list[PlannedChoice]:
    """Deal the quota out evenly along the list, so that early and late orders get the same mix."""
    total = sum(quota.values())
    names = [name for name in sorted(quota) if quota[name]]
    given = dict.fromkeys(names, 0)
    place = 0
    dealt = []
    for choice in choices:
        got: Counter[str] = Counter()
        for _ in range(choice.orders):
            place += 1
            # furthest behind its even pace, among those with units left
            behind = max((n for n in names if given[n] < quota[n]), key=lambda n: quota[n] * place - given[n] * total)
            given[behind] += 1
            got[behind] += 1
        dealt.append(PlannedChoice(choice.key, tuple(sorted(got.items()))))
    return dealt
