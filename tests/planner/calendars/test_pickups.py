"""The first pick-up is the one of the first day, if the campaign begins before the van comes."""

from datetime import datetime

from planner.calendars.clock import Clock
from planner.calendars.pickups import pickups
from planner.campaign.benches import PickUps

RULE = PickUps.model_validate({"days": ["mon"], "time": "16:00"})


def days(start: datetime) -> list[int]:
    clock = Clock.starting(start, "Europe/London")
    return [clock.moment(second).day for second in pickups(RULE, [], clock, 14)]


def test_a_campaign_that_begins_in_the_morning_has_the_van_of_that_day():
    """11 January 2027 is a Monday."""
    assert days(datetime(2027, 1, 11, 6)) == [11, 18, 25]


def test_at_the_very_minute_it_still_has_it_and_a_minute_later_not():
    """16:00 is 16:00."""
    assert days(datetime(2027, 1, 11, 16)) == [11, 18, 25]
    assert days(datetime(2027, 1, 11, 16, 1)) == [18, 25]
