"""Shots, minutes and money of a purge."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.campaign.purging import MOST_SHOTS
from planner.purge.difference import Array


def purge_shots(kg: ArrayLike, shot_mass_g: float) -> NDArray[np.int64]:
    """Return whole shots that put `kg` through a barrel of `shot_mass_g` per shot, rounded up.

    Raises ValueError for a shot without mass, and for more than `MOST_SHOTS`.
    """
    if not shot_mass_g > 0:
        raise ValueError(f"shot mass {shot_mass_g} g must be above 0")
    grams = np.asarray(kg, float) * 1000
    most = float(np.max(grams, initial=0.0))
    if not most <= MOST_SHOTS * shot_mass_g:
        raise ValueError(
            f"{most / 1000:.3g} kg to purge in shots of {shot_mass_g:g} g are more than {MOST_SHOTS:,} shots; "
            "correct the hold-up, the figure given or the mass of a shot"
        )
    # A milligram of rounding must not cost a shot.
    shots: NDArray[np.int64] = np.ceil(np.round(np.round(grams, 3) / shot_mass_g, 9)).astype(np.int64)
    return shots


def purge_minutes(shots: ArrayLike, purge_cycle_s: float) -> Array:
    """Return minutes of `shots` purge cycles of `purge_cycle_s` seconds."""
    if not purge_cycle_s > 0:
        raise ValueError(f"purge cycle {purge_cycle_s} s must be above 0")
    minutes: Array = np.asarray(shots, float) * purge_cycle_s / 60
    return minutes


@dataclass(frozen=True)
class PurgePrices:
    """What purging costs, in one currency.

    melt_per_kg: coloured melt, one figure or one per new melt (n,).
    compound_per_kg: purging compound; disposal_per_kg: getting rid of either.
    press_per_hour, setter_per_hour: while it lasts.
    """

    melt_per_kg: ArrayLike
    compound_per_kg: float = 0.0
    disposal_per_kg: float = 0.0
    press_per_hour: float = 0.0
    setter_per_hour: float = 0.0

    def money(self, kg: ArrayLike, minutes: ArrayLike, compound_kg: ArrayLike = 0.0) -> Array:
        """Return the cost of purging `kg` in all, of which `compound_kg` compound, in `minutes`."""
        total, compound = np.asarray(kg, float), np.asarray(compound_kg, float)
        hours = np.asarray(minutes, float) / 60
        cost: Array = (
            (total - compound) * np.asarray(self.melt_per_kg, float)
            + compound * self.compound_per_kg
            + total * self.disposal_per_kg
            + hours * (self.press_per_hour + self.setter_per_hour)
        )
        return cost
