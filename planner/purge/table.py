"""Every changeover of a barrel as a reader wants it: kilograms with their range, shots, minutes and money."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.campaign.planning import Aim
from planner.purge.compound import Weighed, better
from planner.purge.cost import PurgePrices, purge_minutes, purge_shots
from planner.purge.difference import Array
from planner.purge.matrix import PurgeFigures, with_compound


@dataclass(frozen=True, eq=False)
class PurgeTable:
    """From melt i to melt j at [i, j], n melts: whole shots, minutes and money beside the figures' kg."""

    figures: PurgeFigures
    shots: NDArray[np.int64]
    minutes: Array
    money: Array


def purge_table(
    figures: PurgeFigures, shot_mass_g: float, purge_cycle_s: float, prices: PurgePrices, aim: Aim = "cost"
) -> PurgeTable:
    """Turn figures into shots of `shot_mass_g` g, minutes of `purge_cycle_s` s a shot, and money.

    Where the figures offer a purging compound, each change is made the way that serves the aim better.
    Raises ValueError for a shot without mass, a cycle without length, or more shots than anybody makes.
    """

    def priced(some: PurgeFigures) -> PurgeTable:
        shots = purge_shots(some.kg, shot_mass_g)
        minutes = purge_minutes(shots, purge_cycle_s) + some.soak_s / 60
        return PurgeTable(some, shots, minutes, prices.money(some.kg, minutes, some.compound_kg))

    melt, other = priced(figures), figures.compound
    if other is None:
        return melt
    cleaned = priced(with_compound(figures, other.offered))
    chosen = other.offered & (other.only | better(aim, _weighed(cleaned), _weighed(melt)))
    return priced(with_compound(figures, chosen))


def _weighed(table: PurgeTable) -> Weighed:
    return Weighed(table.figures.kg, table.minutes * 60, table.money)
