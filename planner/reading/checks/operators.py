"""People who stay at presses: no tool asks for more than there are where it runs."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.fit import fitting
from planner.campaign.operators import enough_operators, operators_at
from planner.campaign.pointers import pointer
from planner.campaign.whereabouts import places_of
from planner.errors import Problem
from planner.reading.checks.needs import Needs


def check(campaign: Campaign, needs: Needs) -> Iterator[Problem]:
    """One problem for each place at which a tool with something to mould asks for too many, and has no other."""
    asking = [
        name
        for name, tool in campaign.tools.items()
        if tool.operators
        and any(needs.wants(name, part) for part in tool.cavities)
        and not any(enough_operators(campaign, name, press) for press in fitting(campaign, name))
    ]
    for place in ["", *campaign.places]:
        here = [name for name in asking if place in places_of(campaign, campaign.tools[name].presses)]
        there = operators_at(campaign, place or None)
        most = max(here, key=lambda name: campaign.tools[name].operators, default=None)
        if most is None or campaign.tools[most].operators <= there:
            continue
        asked = campaign.tools[most].operators
        people = "one person" if asked == 1 else f"{asked} people"
        said = f"`places.{place}.operators`" if place else "`floor.operators`"
        yield Problem(
            pointer("places", place, "operators") if place else pointer("floor", "operators"),
            f"tool `{most}` asks for {people} to stay at the press while it moulds, and {said} says that "
            f"{there or 'nobody'} can",
            f"say how many can stay at presses at once in {said}, or ask for fewer in `tools.{most}.operators`",
        )
