"""When a press works where somebody must be there: its hours within those of the people, and what it may do after them.

Everything that needs hands (warm-up, mounting, purging, first shots, clearing) happens while somebody is there; only
shots go on after that, as long as the press may run lights out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from planner.calendars.stretches import Stretch


@dataclass(frozen=True)
class Attended:
    """The press may work from `start` to `end`; somebody is there from `start` to `hands`. Seconds since the start."""

    start: int
    end: int
    hands: int


def attended(press: Sequence[Stretch], people: Sequence[Stretch] | None, lights_out_s: int = 0) -> list[Attended]:
    """Stretches of a press in order. people None: nobody said, so somebody is there whenever the press is open.

    A stretch begins when somebody comes and goes on at most `lights_out_s` after they left, never past the press's own
    hours or to the next coming, where a new one begins.
    """
    if people is None:
        return [Attended(s.start, s.end, s.end) for s in press]
    found = []
    for own in press:
        both = [
            (max(own.start, p.start), min(own.end, p.end)) for p in people if p.start < own.end and p.end > own.start
        ]
        for n, (start, hands) in enumerate(both):
            until = both[n + 1][0] - 1 if n + 1 < len(both) else own.end
            found.append(Attended(start, max(hands, min(hands + lights_out_s, until)), hands))
    return found
