"""How heavy a melt is, g/cm3: a screw delivers volume, so what it melts in an hour is in proportion to it.

Figures are of the unfilled resin at its processing temperature, recalled from data sheets (from memory; the supplier's
sheet decides, and a filled grade is heavier).
"""

from planner.campaign.materials import Resin
from planner.campaign.resin_nature import family_of

POLYSTYRENE = 0.945
"""Presses are rated on polystyrene."""

_OF_FAMILY = {
    "PP": 0.74,
    "PE": 0.73,
    "PS": 0.945,
    "ABS": 0.94,
    "ASA": 0.95,
    "SAN": 0.99,
    "PC": 1.05,
    "PC+ABS": 1.0,
    "PA": 0.96,
    "PA6": 0.96,
    "PA66": 0.97,
    "POM": 1.16,
    "PMMA": 1.07,
    "PBT": 1.115,
    "PET": 1.18,
    "PVC": 1.2,
    "TPE": 0.9,
    "TPU": 1.05,
}
LIGHTEST = min(_OF_FAMILY.values())
"""Where the family is unknown or not listed: purging it takes no longer than that."""


def melt_density(name: str, resin: Resin) -> float:
    """Density of a resin's melt, g/cm3: the maker's, else its family's or that of the family it belongs to."""
    if resin.melt_density is not None:
        return resin.melt_density
    family = family_of(name, resin)
    known = [_OF_FAMILY[one] for one in ((family.abbreviation, *family.kin) if family else ()) if one in _OF_FAMILY]
    return known[0] if known else LIGHTEST
