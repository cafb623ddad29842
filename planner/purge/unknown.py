"""What clears a melt that nobody knows: the most that any melt of the campaign would take, or one it does not name.

That one is another resin in a colour nobody has described. It may also be next to nothing, so the range begins at 0.
"""

import numpy as np

from planner.campaign import Campaign
from planner.purge.difference import Array
from planner.purge.estimate import UNKNOWN_COLOUR_HOLD_UPS
from planner.purge.factor import FactorFit, hot_runner_reach
from planner.purge.figures import hot_runner_melt, resin_change_of
from planner.purge.heating import heating_seconds
from planner.purge.matrix import PurgeFigures


def hold_ups(campaign: Campaign, resin: str) -> float:
    """Hold-ups that clear another resin in a colour nobody has described with a resin."""
    change = resin_change_of(campaign.purging)
    told = [figure for (_, new), figure in change.pairs.items() if new == resin]
    return max(UNKNOWN_COLOUR_HOLD_UPS, change.hold_ups, *told)


def barrel_worst(campaign: Campaign, figures: PurgeFigures) -> tuple[Array, Array]:
    """(M) kg that clear an unknown melt out of a barrel with each melt, and the P90 of it."""
    fit = figures.fit
    least = np.array([hold_ups(campaign, melt.resin) for melt in figures.melts]) * figures.barrel.melt_kg * fit.factor
    kg: Array = np.round(np.maximum(figures.kg.max(axis=0, initial=0.0), least), 3)
    high: Array = np.round(np.maximum(figures.high.max(axis=0, initial=0.0), least * fit.reach[1]), 3)
    return kg, np.maximum(kg, high)


def hot_runner_worst(
    campaign: Campaign, figures: PurgeFigures, held_kg: float, fit: FactorFit | None
) -> tuple[Array, Array]:
    """The same for a hot runner that holds so much."""
    least = (
        np.array([hold_ups(campaign, melt.resin) for melt in figures.melts]) * held_kg * (fit.factor if fit else 1.0)
    )
    kg: Array = np.round(np.maximum(hot_runner_melt(figures, held_kg, fit).max(axis=0, initial=0.0), least), 3)
    return kg, np.round(kg * hot_runner_reach(fit)[1], 3)


def heating_at_most(campaign: Campaign, press: str, resins: list[str], other: str) -> int:
    """Seconds from the set point of whichever of the campaign's resins is furthest away to another's."""
    return max((heating_seconds(campaign, press, one, other) for one in resins), default=0)
