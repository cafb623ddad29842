"""Where tools work whose presses stand at several places (RULES.md, F11): sought by planning with each way in which
they may stand, for a moment, before the plan itself is sought; in each, who makes how many is sought too."""

from math import inf
from typing import NamedTuple

from planner.campaign import Campaign
from planner.control import Control
from planner.demand.standing import at_places, settled, ways
from planner.planning.shares import OF_THE_TIME, looked_at, shared_out

LOOK_EFFORT = 0.3
"""Deterministic seconds for the bound of one way; see `planner.schedule.search.Budget`."""


class Placed(NamedTuple):
    """The campaign with each tool at one place, saying which, and saying who makes how many where several tools make a
    part. bound: money that no plan undercuts, wherever the tools are; 0: none was worked out."""

    campaign: Campaign
    bound: float = 0.0


def placed(campaign: Campaign, control: Control) -> Placed:
    """Where tools go that may go to several places. Where the campaign names an order of work they stay where that has
    them."""
    found = ways(campaign)
    planning = campaign.planning
    if len(found) < 2 or planning.made_at or planning.begin_from is not None:
        return Placed(shared_out(settled(campaign), control))
    left = control.seconds_left() if planning.rounds is None else None
    until = -inf if left is None else left * (1 - OF_THE_TIME)
    effort = 0.0 if campaign.wishes else LOOK_EFFORT  # a bound beside wishes that are refused later is none
    best, least, bound = None, inf, inf
    for way in found:
        now = control.seconds_left()
        if best is not None and (control.should_stop() or (until > -inf and now is not None and now <= until)):
            return Placed(best)
        one = shared_out(at_places(campaign, way), control)
        look = looked_at(one, control, effort)
        if look is None:
            effort = 0.0  # that none was found is no proof that there is none
        elif best is None or look.objective < least - 1e-9 * abs(least):
            best, least = one, look.objective
        bound = min(bound, look.bound if look is not None and effort else 0.0)
    return Placed(best, bound) if best is not None else Placed(shared_out(settled(campaign), control))
