"""Mould temperatures usual for a resin family, degrees C, each with who says so; a resin without a row is unknown.

The supplier's data sheet decides; a tool that has a figure of its own goes before all of these.
"""

from planner.campaign.families import GUIDE
from planner.campaign.materials import Resin
from planner.campaign.resin_nature import family_of

_USUAL: dict[str, tuple[tuple[int, int], str]] = {
    "PP": ((21, 49), GUIDE),
    "PE": ((16, 43), GUIDE),
    "PS": ((21, 49), GUIDE),
    "ABS": ((38, 82), GUIDE),
    "SAN": ((50, 80), "a public table of processing temperatures"),
    "PC": ((66, 107), "Covestro, data sheet MS005757; " + GUIDE),
    "PC+ABS": ((70, 100), "Bayer, processing advice for PC+ABS"),
    "PA6": ((70, 104), "processing page of a PA6 maker; " + GUIDE),
    "POM": ((82, 104), GUIDE),
    "PMMA": ((66, 93), GUIDE),
    "PBT": ((66, 121), GUIDE),
    "TPE": ((16, 79), GUIDE),
}


def usual_mould_c(name: str, resin: Resin) -> tuple[tuple[int, int], str] | None:
    """(lowest, highest) degrees C and the source, by the resin's family or the one it belongs to; None: unknown."""
    family = family_of(name, resin)
    if family is None:
        return None
    return next((_USUAL[one] for one in (family.abbreviation, *family.kin) if one in _USUAL), None)
