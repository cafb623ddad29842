"""The cautions that the finish and the strength of a campaign's colours carry."""

from collections.abc import Iterable

from planner.campaign import Campaign
from planner.campaign.resin_nature import family_of
from planner.purge.figures import appearance
from planner.purge.finish import finish_cautions


def colour_cautions(campaign: Campaign, melts: Iterable[str]) -> dict[str, list[str]]:
    """colour -> its cautions, for the `melts` (`resin/colour`) that are moulded; common practice without a source."""
    soft: dict[str, bool] = {}
    for melt in melts:
        resin, colour = melt.rsplit("/", 1)
        family = family_of(resin, campaign.resins[resin])
        soft[colour] = soft.get(colour, False) or (family is not None and family.soft)
    found = {}
    for colour in sorted(soft):
        asked, look = campaign.colours[colour], appearance(campaign.colours[colour])
        lab = look.lab if look is not None else (0.0, 0.0, 0.0)
        texts = finish_cautions(asked.finish, lab, soft[colour], asked.strength)
        if texts:
            found[colour] = texts
    return found
