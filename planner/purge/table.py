"""Every changeover of a barrel as a reader wants it: kilograms with their range, shots, minutes and money."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from planner.campaign.planning import Aim
from planner.purge.compound import Weighed, better
from planner.purge.cost import PurgePrices, purge_minutes, purge_shots
from planner.purge.difference import Array
from planner.purge.matrix import PurgeFigures, with_compound
from planner.purge.times import air_shots_seconds


@dataclass(frozen=True)
class PurgePace:
    """How fast a barrel and the hot runner behind it are purged.

    air_kg_h: kg an hour into the open, one figure for each new melt. shot_g, cycle_s: of a shot through the tool.
    """

    air_kg_h: Sequence[Fraction]
    shot_g: float
    cycle_s: float


@dataclass(frozen=True, eq=False)
class PurgeTable:
    """From melt i to melt j at [i, j], n melts, beside the figures' kg: minutes, money, whole shots through the tool.

    Those clear the hot runner; the barrel is purged into the open.
    """

    figures: PurgeFigures
    shots: NDArray[np.int64]
    minutes: Array
    money: Array


def purge_table(figures: PurgeFigures, pace: PurgePace, prices: PurgePrices, aim: Aim = "cost") -> PurgeTable:
    """Turn figures into shots, minutes and money.

    Where the figures offer a purging compound, each change is made the way that serves the aim better.
    Raises ValueError for a shot without mass, a cycle without length, or more shots than anybody makes.
    """

    def priced(some: PurgeFigures) -> PurgeTable:
        shots = purge_shots(some.hot_kg, pace.shot_g)
        into_the_open = np.array(
            [
                [air_shots_seconds(float(kg), kg_h) for kg, kg_h in zip(row, pace.air_kg_h, strict=True)]
                for row in some.kg - some.hot_kg
            ],
            dtype=float,
        ).reshape(some.kg.shape)
        minutes = (into_the_open + some.soak_s) / 60 + purge_minutes(shots, pace.cycle_s)
        return PurgeTable(some, shots, minutes, prices.money(some.kg, minutes, some.compound_kg))

    melt, other = priced(figures), figures.compound
    if other is None:
        return melt
    cleaned = priced(with_compound(figures, other.offered))
    chosen = other.offered & (other.only | better(aim, _weighed(cleaned), _weighed(melt)))
    return priced(with_compound(figures, chosen))


def _weighed(table: PurgeTable) -> Weighed:
    return Weighed(table.figures.kg, table.minutes * 60, table.money)
