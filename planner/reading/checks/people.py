"""Hours of people: presses that nobody ever comes to, and lights-out where nobody's hours are said."""

from planner.calendars.attended import attended
from planner.calendars.others import press_stretches
from planner.calendars.stretches import stretches
from planner.campaign.document import Campaign
from planner.campaign.hours import Open
from planner.campaign.pointers import pointer
from planner.campaign.presses import Press
from planner.errors import Problem
from planner.reading.checks.hours import clock_of, look_days
from planner.reading.checks.needs import Needs
from planner.reading.checks.presses import missed


def check(campaign: Campaign, needs: Needs) -> list[Problem]:
    """Each press against the hours of the people."""
    people = campaign.floor.attended
    if people is None:
        return [
            Problem(
                pointer("presses", name, "lights_out"),
                f"press `{name}` may run lights out, but nobody said when people are there",
                "give `floor.attended` hours, or take `lights_out` out",
            )
            for name, press in campaign.presses.items()
            if press.lights_out is not None
        ]
    opens, works = {}, {}
    for name, press in campaign.presses.items():
        opens[name], works[name] = _opens_and_works(campaign, press, people)
    return [
        Problem(
            pointer("floor", "attended"),
            f"nobody is ever there while press `{name}` is open, so nothing can be set up on it",
            "make its hours and those of the people overlap",
        )
        for name in campaign.presses
        if name in missed(campaign, needs, works) and opens[name]
    ]


def _opens_and_works(campaign: Campaign, press: Press, people: Open) -> tuple[bool, bool]:
    """Whether a press opens at all, and whether it does while somebody is there, or stands elsewhere."""
    clock, opens = clock_of(campaign), False
    for days in look_days(campaign, [*press.on_dates, *people.on_dates]):
        own = press_stretches(campaign, press, clock, days)[0]
        opens = bool(own)
        if opens and (press.place is not None or attended(own, stretches(people, campaign.closed_days, clock, days))):
            return True, True
    return opens, False
