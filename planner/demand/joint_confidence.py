"""How surely the shots of several tools together hold enough good parts of one kind.

What each tool makes is scrap or not apart from the others' (each with its own share, or its own law of what that may
turn out to be), so the chances of each number of good parts are those of a sum of independent counts.
"""

from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from planner.campaign import Campaign
from planner.campaign.uncertainty import Spread
from planner.demand.scrap import chance_over, lost, scrap_law, spoilt
from planner.demand.shots import chance_of_enough

Floats = NDArray[np.float64]

NEGLIGIBLE = 1e-10
"""A number of good parts less likely than this is left out."""

CLOSE = 600
"""Numbers of good parts whose chance is summed; where more are likely, those between them are interpolated."""


def chance_of_parts(campaign: Campaign, part: str, moulded: dict[str, int], needed: int) -> float:
    """P(at least `needed` good parts), so many being moulded with each tool."""
    if needed <= 0:
        return 1.0
    if sum(moulded.values()) < needed:
        return 0.0
    first, chances = 0, np.ones(1)
    for tool, parts in sorted(moulded.items()):
        if parts:
            law = scrap_law(campaign, tool)
            low, mine = _good_parts(law, campaign.tools[tool].scrap_share, parts, spoilt(campaign, part))
            first, chances = first + low, np.convolve(chances, mine)
    return float(min(1.0, chances[max(0, needed - first) :].sum()))


@lru_cache(maxsize=1024)
def _good_parts(law: Spread | None, scrap: float, moulded: int, spoils: float) -> tuple[int, Floats]:
    """The least number of good parts that is not negligible, and the chance of it and of each one more."""

    def enough(good: int) -> float:
        if law is None:
            return chance_of_enough(moulded, good, lost(scrap, spoils))
        return chance_over(law, moulded, good, spoils)

    low = _last(moulded, lambda good: enough(good) >= 1 - NEGLIGIBLE)
    high = _last(moulded, lambda good: enough(good) > NEGLIGIBLE)
    step = max(1, (high - low) // CLOSE)
    some = np.unique([*range(low, high + 1, step), high])
    sure = np.array([enough(int(good)) for good in some])
    if step > 1:
        # Here: it takes longer to load than all else that reads a campaign, and few campaigns need it.
        from scipy.interpolate import PchipInterpolator

        sure = PchipInterpolator(some, sure)(np.arange(low, high + 1))
    sure[0] = 1.0
    chances: Floats = -np.diff(np.append(sure, 0.0))
    return low, np.maximum(chances, 0.0)


def _last(most: int, holds: Callable[[int], bool]) -> int:
    """The largest number up to `most` of which it holds; it does of 0, and of none behind one of which it does not."""
    low, high = 0, most + 1
    while high - low > 1:
        middle = (low + high) // 2
        if holds(middle):
            low = middle
        else:
            high = middle
    return low
