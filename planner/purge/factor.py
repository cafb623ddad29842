"""One barrel's own factor on the estimate, fitted to the logarithms of purged over estimated kilograms.

The logarithms are averaged with falling weight for those far out (Huber) and with a prior that says the
estimate is right (factor 1), worth about two entries: two entries that agree move the factor some three fifths of
the way, eight nearly all the way.

Where the prior's spreads come from. Of published purges two speak of ordinary changeovers and not of one case gone
wrong. "40 to 200 lb a changeover" (Denzel, Plastics Technology), read as the tenth and the ninetieth per cent, is a
spread of ln 5 / 2.56 = 0.63, colours and presses included. Plug shares of single screws of 0.38 to 0.65 (Yeh and Jaw
1998) take a hard change down to 0.42 of the stirred estimate; as its P10 that is 0.68. The two spreads below
are 0.70 together: a usual barrel's figure reaches from 0.40 to 2.5 of the estimate, a little beyond what either of the
two asks for, since neither saw every press. The two published hot runners lie beyond, so a hot runner that nobody
logged has a range of its own (see `tests/planner/purge/test_published_purges.py`). How the spread splits, and what the
prior is worth, is set so that P10 to P90 hold four fifths of true figures whether pairs scatter by 0.3 or by 0.9 about
their barrel's factor: `benchmarks/purge_factor.py` prints it.

References
----------
Huber, Robust Statistics, 1981 (weights); the conjugate normal prior of Gelman et al., Bayesian Data
Analysis, ch. 2-3.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from planner.purge.difference import Array

BETWEEN_BARRELS = 0.4
"""Prior spread (natural log) of a barrel's factor about 1."""

WITHIN_BARREL = 0.58
"""Prior spread (natural log) of single purges about the barrel's factor."""

WITHIN_WORTH = 2.0
"""Entries that the prior spread within a barrel is worth."""

HUBER = 1.5
"""Spreads from the fit beyond which an entry's weight falls."""

P90 = 1.2815515594
"""Standard normal quantile at 0.9: P10 and P90 lie this many spreads either side of the median."""


HOT_RUNNER_P90 = 7.0
"""P90 of a hot runner's purge over its estimate until it is logged. Two hot runners in print took 200 shots and more
than 150; with some four shots of melt in barrel and hot runner (common practice, no source) that is 6.9 and 5.5 times
the estimate."""


@dataclass(frozen=True)
class FactorFit:
    """A barrel's own factor on the estimate.

    factor: median; low, high: P10 and P90 of the factor itself.
    spread: standard deviation (natural log) of one pair's purge about factor times estimate.
    repeat: standard deviation (natural log) of the same change done again, as handed in.
    entries: how many entries it rests on.
    trust: 0 (all prior) to 1 (all log).
    """

    factor: float
    low: float
    high: float
    spread: float
    repeat: float
    entries: int
    trust: float

    @property
    def reach(self) -> tuple[float, float]:
        """P10 and P90 of one pair's purge over factor times estimate."""
        wide = math.exp(P90 * self.spread)
        return 1 / wide, wide


def fit_factor(log_factors: Sequence[float] | Array, repeat: float) -> FactorFit:
    """Fit the factor to natural logs of purged over estimated; an empty list gives the prior."""
    y = np.asarray(log_factors, float)
    weight = np.ones_like(y)
    centre, within = 0.0, WITHIN_BARREL
    variance = BETWEEN_BARRELS**2
    for _ in range(50):
        precision = 1 / BETWEEN_BARRELS**2 + float(weight.sum()) / within**2
        variance = 1 / precision
        moved = float((weight * y).sum() / within**2 / precision)
        rest = y - moved
        within = math.sqrt((WITHIN_WORTH * WITHIN_BARREL**2 + (weight * rest**2).sum()) / (WITHIN_WORTH + weight.sum()))
        weight = np.minimum(1.0, HUBER * within / np.maximum(np.abs(rest), 1e-12))
        settled = abs(moved - centre) < 1e-10
        centre = moved
        if settled:
            break
    own = math.sqrt(variance)
    return FactorFit(
        factor=math.exp(centre),
        low=math.exp(centre - P90 * own),
        high=math.exp(centre + P90 * own),
        spread=math.hypot(within, own),
        repeat=repeat,
        entries=int(y.size),
        trust=1 - variance / BETWEEN_BARRELS**2,
    )


UNLOGGED = fit_factor([], 0.0)
"""What holds of a place that no log speaks of: the prior."""


def hot_runner_reach(fit: FactorFit | None) -> tuple[float, float]:
    """P10 and P90 of a hot runner's purge over factor times estimate; fit: of its own log, None: it has none.

    What a barrel's log says of the barrel says nothing of the channels behind it.
    """
    return (UNLOGGED.reach[0], HOT_RUNNER_P90) if fit is None else fit.reach
