"""What the auditor works out of a campaign and a plan for more than one rule."""

from datetime import datetime, time, timedelta
from zoneinfo import ZoneInfo

from planner.audit.case import Case
from planner.campaign.hours import Open
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan


def attended(hours):
    campaign = pot_campaign()
    floor = campaign.floor.model_copy(update={"attended": hours and Open(hours=hours)})
    return Case(campaign.model_copy(update={"floor": floor}), pot_plan())


def test_dryers_are_filled_up_to_five_minutes_before_people_leave():
    """Not after it; where they come for three minutes only, at the moment at which they come. Closed days apart."""
    case = attended({"mon-fri": "08:00-12:00", "sat": "08:00-08:03"})
    there = [
        tuple(datetime.fromtimestamp(at, ZoneInfo(case.campaign.time_zone)) for at in stretch)
        for stretch in case.dryers_served
    ]
    assert {begin.weekday() for begin, _ in there} == {0, 1, 2, 3, 4, 5}
    for begin, end in there:
        assert begin.time() == time(8)
        assert end.time() == (time(11, 55) if begin.weekday() < 5 else time(8))
    first = min(begin for begin, _ in there)
    assert first.date() <= case.campaign.start.date() - timedelta(days=15), "some days before the campaign as well"


def test_without_hours_of_people_dryers_are_filled_whenever_it_is_needed():
    assert attended(None).dryers_served == []
