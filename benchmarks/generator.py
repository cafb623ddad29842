"""Seeded random campaigns: small ones for property tests, sized ones for benchmarks. All pass the cross-checks.

    from benchmarks.generator import sized, small, tiny

The same seed gives the same campaign on every machine, and mostly the same object: nothing in it may be changed.
"""

import random
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from benchmarks import sized_campaigns
from benchmarks.sized_campaigns import SIZES
from benchmarks.small_campaigns import document
from planner.campaign import Campaign
from planner.demand.items import run_demands
from planner.demand.parcels import pack_batches
from planner.errors import CampaignProblems
from planner.reading import read

MOST_ATTEMPTS = 200


@lru_cache(maxsize=16)
def sized(size: str, seed: int) -> Campaign:
    """A campaign of size XS, S, M, L or XL: exactly the run demands, presses and pack groups of `SIZES`."""
    wanted = SIZES[size]

    def fits(campaign: Campaign) -> bool:
        return len(run_demands(campaign)) == wanted.runs and len(pack_batches(campaign)) == wanted.groups

    return _accepted(f"{size} {seed}", lambda draw: sized_campaigns.document(wanted, draw), fits)


@lru_cache(maxsize=512)
def small(seed: int) -> Campaign:
    """A small campaign of 2 to 8 run demands, with a few of: two barrels, family tools, stock, arrivals, hot runners,
    clock changes, overnight hours, short stretches, lots, blocked cavities, forbidden pairs, pinned runs."""

    def drawn(draw: random.Random) -> dict[str, Any]:
        return document(draw, draw.randint(2, 8), draw.randint(1, 3), draw.randint(3, 10), draw.choice([8, 25, 60]))

    return _accepted(f"small {seed}", drawn, lambda c: 2 <= len(run_demands(c)) <= 8)


@lru_cache(maxsize=512)
def tiny(seed: int) -> Campaign:
    """A campaign small enough to try every order of work: at most 6 run demands, never split, 2 presses, 4 batches."""

    def drawn(draw: random.Random) -> dict[str, Any]:
        data = document(draw, draw.randint(2, 5), draw.randint(1, 2), draw.randint(1, 4), draw.choice([5, 20]))
        for tool in data["tools"].values():
            tool.pop("smallest_lot_shots", None)
        return data

    return _accepted(f"tiny {seed}", drawn, lambda c: 1 <= len(run_demands(c)) <= 6 and len(pack_batches(c)) <= 4)


def _accepted(
    name: str, drawn: Callable[[random.Random], dict[str, Any]], wanted: Callable[[Campaign], bool]
) -> Campaign:
    """The first of the seed's documents that passes the cross-checks and has the size wanted."""
    for attempt in range(MOST_ATTEMPTS):
        try:
            campaign = read(drawn(random.Random(f"{name} {attempt}")))
        except CampaignProblems:
            continue
        if wanted(campaign):
            return campaign.model_copy(update={"name": name})
    raise AssertionError(f"{name}: no campaign of that kind in {MOST_ATTEMPTS} attempts")
