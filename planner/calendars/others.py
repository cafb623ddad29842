"""Others' work on a press: cut out of its hours, and which of its stretches come after it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from planner.calendars.attended import Attended
from planner.calendars.clock import Clock
from planner.calendars.places import wall
from planner.calendars.stretches import Stretch, stretches
from planner.campaign import Campaign
from planner.campaign.presses import Press


@dataclass(frozen=True)
class Taken:
    """Others have the press from `start` to `end` (seconds since the start); which: place in its `others`."""

    start: int
    end: int
    which: int


def press_stretches(campaign: Campaign, press: Press, clock: Clock, days: int) -> tuple[list[Stretch], list[Taken]]:
    """When a press is open for us in the first `days` days, and when others work on it, each in order."""
    clock, closed = wall(campaign, press, clock)
    own = stretches(press, closed, clock, days)
    if not press.others:
        return own, []
    taken = [
        Taken(s.start, s.end, n)
        for n, others in enumerate(press.others)
        for s in stretches(others, closed, clock, days)
    ]
    left = [
        piece for s in own for piece in _without(s, [one for one in taken if one.start < s.end and one.end > s.start])
    ]
    for n, others in enumerate(press.others):
        if others.whenever_closed:
            edges = [0, *(moment for s in left for moment in (s.start, s.end)), days * 86400]
            taken += [Taken(a, b, n) for a, b in list(pairwise(edges))[::2] if b > a]
    return left, sorted(taken, key=lambda one: (one.start, one.end, one.which))


def _without(one: Stretch, taken: Sequence[Taken]) -> list[Stretch]:
    """What others leave of a stretch."""
    pieces = [one]
    for other in taken:
        pieces = [
            Stretch(a, b, one.people)
            for p in pieces
            for a, b in ((p.start, min(p.end, other.start)), (max(p.start, other.end), p.end))
            if b > a
        ]
    return pieces


def worked_before(ours: Sequence[Attended], taken: Sequence[Taken]) -> list[list[int]]:
    """For each stretch the places in `others` of those who worked on the press last before it, since the stretch
    before; none where nobody did. Several where they ended at one moment, so that nobody can say who was last."""
    found, since = [], 0
    for one in ours:
        between = [other for other in taken if other.start < one.start and other.end > since]
        last = max((other.end for other in between), default=0)
        found.append(sorted({other.which for other in between if other.end == last}))
        since = one.end
    return found
