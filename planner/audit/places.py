"""Other places, from the campaign: whose clock and holidays a press goes by, who sets it up, when lots are here."""

from datetime import date, datetime, time, timedelta

from planner.audit.moments import Clock
from planner.campaign import Campaign
from planner.campaign.hours import DAYS
from planner.campaign.places import Place
from planner.campaign.presses import Press

LONGEST = timedelta(days=3000)


def beside(campaign: Campaign, press: Press, clock: Clock) -> tuple[Clock, list[date]]:
    """The clock on the wall beside a press, and the holidays kept there."""
    if press.place is None:
        return clock, campaign.closed_days
    place = campaign.places[press.place]
    return Clock(place.time_zone or campaign.time_zone), place.closed_days


def hands(campaign: Campaign, press: Press) -> tuple[int, float]:
    """How many setters there are where a press stands, and what an hour of one costs."""
    there = campaign.floor if press.place is None else campaign.places[press.place]
    return there.setters, there.setter_rate_per_hour


def who_stay(campaign: Campaign, press: Press) -> tuple[int, float]:
    """How many people can stay at presses at once where a press stands, and what an hour of one costs."""
    there = campaign.floor if press.place is None else campaign.places[press.place]
    return there.operators, there.operator_rate_per_hour


def brought_from(campaign: Campaign, part: str) -> str | None:
    """The place where a part is moulded, if that is not our own floor."""
    for tool in campaign.tools.values():
        if part in tool.cavities:
            for press in tool.presses:
                if press in campaign.presses and campaign.presses[press].place is not None:
                    return campaign.presses[press].place
    return None


def way_here(campaign: Campaign, place: Place, start: int, second: int) -> tuple[int, int] | None:
    """(leaves, here) of what is there to leave a place at that second (UTC); start: of the campaign."""
    there, ours = Clock(place.time_zone or campaign.time_zone), Clock(campaign.time_zone)
    leaves_at, comes_at = time.fromisoformat(place.time), time.fromisoformat(place.arrives)
    day = there.day(second) - timedelta(days=1)
    last = day + LONGEST
    while day < last:
        leaves = there.at(datetime.combine(day, leaves_at))
        if leaves >= max(second, start) and DAYS[day.weekday()] in place.leaves and day not in place.closed_days:
            comes = day + timedelta(days=place.here_days)
            while comes in campaign.closed_days or ours.at(datetime.combine(comes, comes_at)) < leaves:
                comes += timedelta(days=1)
            return leaves, ours.at(datetime.combine(comes, comes_at))
        day += timedelta(days=1)
    return None
