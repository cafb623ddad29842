"""The cautions that the finish and the strength of a campaign's colours carry."""

from collections.abc import Iterable

from planner.campaign import Campaign
from planner.purge.figures import appearance
from planner.purge.finish import finish_cautions

SOFT_FAMILIES = ("TPE", "TPU", "TPV", "TPS", "TPO", "SEBS", "SBS", "EPDM", "LSR", "SILICONE")
"""Resin families counted as elastomers, by the beginning of their name."""


def colour_cautions(campaign: Campaign, melts: Iterable[str]) -> dict[str, list[str]]:
    """colour -> its cautions, for the `melts` (`resin/colour`) that are moulded; common practice without a source."""
    soft: dict[str, bool] = {}
    for melt in melts:
        resin, colour = melt.split("/")
        family = campaign.resins[resin].family.upper()
        soft[colour] = soft.get(colour, False) or family.startswith(SOFT_FAMILIES)
    found = {}
    for colour in sorted(soft):
        asked, look = campaign.colours[colour], appearance(campaign.colours[colour])
        lab = look.lab if look is not None else (0.0, 0.0, 0.0)
        texts = finish_cautions(asked.finish, lab, soft[colour], asked.strength)
        if texts:
            found[colour] = texts
    return found
