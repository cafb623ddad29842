"""People who stay at presses while they mould (RULES.md, R26): how many there are, and whether that can be too few."""

from planner.campaign.document import Campaign
from planner.campaign.whereabouts import place_of


def operators_at(campaign: Campaign, place: str | None) -> int:
    """People who can stay at presses of a place at once; None: on our own floor."""
    return campaign.floor.operators if place is None else campaign.places[place].operators


def enough_operators(campaign: Campaign, tool: str, press: str) -> bool:
    """Whether as many people as a tool asks for can stay at a press."""
    place = place_of(campaign, press)
    return campaign.tools[tool].operators <= (campaign.floor if place is None else place).operators


def operator_rate(campaign: Campaign, press: str) -> float:
    """Money per hour for each of those who stay at a press."""
    place = place_of(campaign, press)
    return campaign.floor.operator_rate_per_hour if place is None else place.operator_rate_per_hour


def too_few(campaign: Campaign) -> bool:
    """Whether at some place they are fewer than its presses ask for with whatever tools in them."""
    asked: dict[str | None, int] = {}
    for name, press in campaign.presses.items():
        most = max((tool.operators for tool in campaign.tools.values() if name in tool.presses), default=0)
        asked[press.place] = asked.get(press.place, 0) + most
    return any(many > operators_at(campaign, place) for place, many in asked.items())
