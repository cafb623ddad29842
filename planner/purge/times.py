"""How long a purge takes: a barrel into the open, in air shots; a hot runner through the tool, shot by shot.

In air shots the screw only recovers between two injections, so a barrel purges at a share of what it melts in an hour.
"""

from fractions import Fraction

from planner.campaign.melt_density import LIGHTEST, POLYSTYRENE
from planner.campaign.presses import Barrel

RATED_KG_H = 100.0
"""What a barrel that holds 1 kg melts of polystyrene in an hour, kg; it grows as the screw's section, with hold-up to
the power of two thirds. Common practice, from memory: 0.15 kg some 28 kg/h, 0.45 kg some 59, 1.3 kg some 119."""


def rated_kg_h(barrel: Barrel) -> float:
    """Polystyrene the barrel melts in an hour, kg: from the press's data sheet, else by its size, to a tenth."""
    if barrel.plasticising_kg_h is not None:
        return barrel.plasticising_kg_h
    by_size: float = RATED_KG_H * barrel.holdup_kg ** (2 / 3)
    return max(0.1, round(by_size, 1))


def air_shots_kg_h(barrel: Barrel, share: float, density: float = LIGHTEST) -> Fraction:
    """Kilograms an hour that a barrel purges of melt of so many g/cm3, at a share of its rate; exactly as written."""
    return _exact(share) * _exact(rated_kg_h(barrel)) * _exact(density) / _exact(POLYSTYRENE)


def air_shots_seconds(kg: float, kg_h: Fraction) -> int:
    """Whole seconds that purge so many kg, which are to the gram."""
    grams = round(kg * 1000)
    return -(-grams * 18 * kg_h.denominator // (5 * kg_h.numerator))


def _exact(figure: float) -> Fraction:
    return Fraction(repr(float(figure)))
