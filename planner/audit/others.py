"""Others' work on a press (A4, A5): the hours it takes out of the press's own, and what it leaves behind.

Read day by day from the campaign. Whoever ended last before a moment left what is in the press; where several ended at
once and do not leave the same, nobody knows.
"""

from typing import NamedTuple

from planner.audit.opening import Shift
from planner.campaign.presses import Press

NOBODY_KNOWS = "unknown melt"


class Theirs(NamedTuple):
    """Others have the press from start to end (UTC seconds); leaves: what they say they leave, by barrel."""

    start: int
    end: int
    leaves: tuple[str, ...]


def ours_and_theirs(
    own: list[tuple[int, int]], press: Press, windows: list[list[Shift]], start: int, horizon: int
) -> tuple[list[tuple[int, int]], list[Theirs]]:
    """What is left of a press's own stretches, and when others work on it. windows: by entry of its `others`."""
    theirs = [
        Theirs(shift.start, shift.end, tuple(entry.leaves))
        for entry, shifts in zip(press.others, windows, strict=True)
        for shift in shifts
    ]
    ours: list[tuple[int, int]] = []
    for opens, closes in own:
        at = opens
        for one in sorted(theirs):
            if one.end <= at or one.start >= closes:
                continue
            if one.start > at:
                ours.append((at, one.start))
            at = max(at, one.end)
        if at < closes:
            ours.append((at, closes))
    for entry in press.others:
        if entry.whenever_closed:
            at = start
            for opens, closes in [*ours, (horizon, horizon)]:
                if opens > at:
                    theirs.append(Theirs(at, opens, tuple(entry.leaves)))
                at = max(at, closes)
    return ours, sorted(theirs)


def between(theirs: list[Theirs], since: int, until: int) -> list[Theirs]:
    """Others' work on a press between two moments."""
    return [one for one in theirs if one.start < until and one.end > since]


def left_between(theirs: list[Theirs], since: int, until: int, barrel: int) -> str | None:
    """What others left in a barrel (from 1) who worked on a press between two moments; None: nobody did."""
    worked = between(theirs, since, until)
    if not worked:
        return None
    last = max(one.end for one in worked)
    said = {one.leaves[barrel - 1] if barrel <= len(one.leaves) else NOBODY_KNOWS for one in worked if one.end == last}
    return said.pop() if len(said) == 1 else NOBODY_KNOWS
