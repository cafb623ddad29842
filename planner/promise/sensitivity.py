"""Which of the unsure things spread a date most: rank correlation over replications, and what it is worth in days."""

import numpy as np

from planner.promise.document import Driver
from planner.promise.rank_correlation import ranks, unit
from planner.promise.scenarios import Factor
from planner.schedule.instance import Ints

FEWEST = 20
"""Fewer replications say nothing about what drives them."""

SEEN = 4.0
"""A correlation counts from this many standard errors (1 / sqrt of the replications) on: less would rank chance."""


def strongest(factors: list[Factor], done: Ints, most: int = 10) -> list[Driver]:
    """The factors that spread `done` (replications), s, strongest first; those never done stand as they are, last."""
    if done.size < FEWEST or (done == done[0]).all():
        return []
    outcome = unit(ranks(done))
    days = np.minimum(done, np.quantile(done, 0.999)) / 86400
    found = []
    for factor in factors:
        correlation = float(factor.unit_ranks @ outcome)
        if abs(correlation) * np.sqrt(done.size) < SEEN:
            continue
        own = factor.ranks
        by_value = np.argsort(own if correlation > 0 else -own, kind="stable")
        fifth = max(1, done.size // 5)
        worth = float(days[by_value[-fifth:]].mean() - days[by_value[:fifth]].mean())
        found.append((factor, correlation, worth))
    found.sort(key=lambda f: -abs(f[1]))
    return [
        Driver(rank=n, factor=f.name, about=f.about, correlation=round(c, 4), days=round(d, 2))
        for n, (f, c, d) in enumerate(found[:most], start=1)
    ]
