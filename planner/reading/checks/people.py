"""Hours of people: presses that nobody ever comes to, and lights-out where nobody's hours are said."""

from planner.calendars.attended import attended
from planner.calendars.others import press_stretches
from planner.calendars.stretches import stretches
from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem
from planner.reading.checks.hours import LOOK_DAYS, clock_of
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
    clock, days = clock_of(campaign), LOOK_DAYS[0]
    there = stretches(people, campaign.closed_days, clock, days)
    own = {name: press_stretches(campaign, press, clock, days)[0] for name, press in campaign.presses.items()}
    works = {
        name: bool(own[name] if press.place is not None else attended(own[name], there))
        for name, press in campaign.presses.items()
    }
    return [
        Problem(
            pointer("floor", "attended"),
            f"nobody is ever there while press `{name}` is open, so nothing can be set up on it",
            "make its hours and those of the people overlap",
        )
        for name in campaign.presses
        if name in missed(campaign, needs, works) and own[name]
    ]
