"""Where presses stand and parts are moulded: on our own floor, or at another place."""

from collections.abc import Iterable

from planner.campaign.document import Campaign
from planner.campaign.places import Place


def place_of(campaign: Campaign, press: str) -> Place | None:
    """Where a press stands; None: on our own floor."""
    return campaign.places.get(campaign.presses[press].place or "")


def setter_rate(campaign: Campaign, press: str) -> float:
    """Money per hour of whoever sets up a press: our setters, or those of its place."""
    place = place_of(campaign, press)
    return campaign.floor.setter_rate_per_hour if place is None else place.setter_rate_per_hour


def places_of(campaign: Campaign, presses: Iterable[str]) -> list[str]:
    """Names of the places in which some presses stand, each once, sorted; `""`: our own floor."""
    return sorted({campaign.presses[press].place or "" for press in presses if press in campaign.presses})


def made_at(campaign: Campaign, part: str) -> str | None:
    """The place that a part is brought from; None: it is moulded here."""
    if not campaign.places:
        return None
    presses = [press for tool in campaign.tools.values() if part in tool.cavities for press in tool.presses]
    return next((name for name in places_of(campaign, presses) if name in campaign.places), None)


def not_here(campaign: Campaign, part: str) -> bool:
    """Whether moulded parts are not yet what assembly takes: they are brought here, or worked on, first."""
    return bool(campaign.parts[part].finishing) or made_at(campaign, part) is not None
