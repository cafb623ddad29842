"""The clock and the holidays that a press or bench goes by: the campaign's, or those of the place where it stands."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.benches import Bench
from planner.campaign.places import Place
from planner.campaign.presses import Press
from planner.campaign.whereabouts import place_of


def wall(campaign: Campaign, of: Press | Bench, clock: Clock) -> tuple[Clock, list[date]]:
    """The clock on the wall beside a press or bench, and the days on which everything around it is closed."""
    place = campaign.places.get(of.place or "")
    return (clock, campaign.closed_days) if place is None else (clock_at(place, clock), place.closed_days)


def local(campaign: Campaign, press: str, moment: datetime) -> datetime | None:
    """A moment as the clock beside a press shows it; None where that is the campaign's own."""
    place = place_of(campaign, press)
    if place is None or place.time_zone in (None, campaign.time_zone):
        return None
    return moment.astimezone(ZoneInfo(place.time_zone))


def clock_at(place: Place, clock: Clock) -> Clock:
    """The clock on a place's wall, from the same start."""
    return clock if place.time_zone is None else Clock(ZoneInfo(place.time_zone), clock.origin)
