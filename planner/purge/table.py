"""Every changeover of a barrel as a reader wants it: kilograms with their range, shots, minutes and money."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.purge.cost import PurgePrices, purge_minutes, purge_shots
from planner.purge.difference import Array
from planner.purge.matrix import PurgeFigures


@dataclass(frozen=True, eq=False)
class PurgeTable:
    """From melt i to melt j at [i, j], n melts: whole shots, minutes and money beside the figures' kg."""

    figures: PurgeFigures
    shots: NDArray[np.int64]
    minutes: Array
    money: Array


def purge_table(figures: PurgeFigures, shot_mass_g: float, purge_cycle_s: float, prices: PurgePrices) -> PurgeTable:
    """Turn figures into shots of `shot_mass_g` g, minutes of `purge_cycle_s` s a shot, and money.

    Raises ValueError for a shot without mass or a cycle without length.
    """
    shots = purge_shots(figures.kg, shot_mass_g)
    minutes = purge_minutes(shots, purge_cycle_s)
    return PurgeTable(figures, shots, minutes, prices.money(figures.kg, minutes, figures.compound_kg))
