"""Hours of people (A4, A9): when a press may work where somebody must come first, and what may be done only then."""

from typing import NamedTuple

from planner.audit.figures import exact
from planner.audit.opening import Shift
from planner.campaign import Campaign


class Manned(NamedTuple):
    """A press may work from start to end (UTC seconds); somebody is there until `hands`."""

    start: int
    end: int
    hands: int


def manned(own: list[tuple[int, int]], people: list[Shift] | None, alone: int) -> list[Manned]:
    """Stretches of a press: from when somebody comes, and at most `alone` seconds on after they left.

    A second before somebody comes again the press has stopped: what begins then begins anew.
    """
    if people is None:
        return [Manned(start, end, end) for start, end in own]
    there: list[list[int]] = []
    for shift in people:
        if there and shift.start <= there[-1][1]:
            there[-1][1] = max(there[-1][1], shift.end)
        else:
            there.append([shift.start, shift.end])
    found = []
    for start, end in own:
        within = [(max(start, a), min(end, b)) for a, b in there if a < end and b > start]
        for n, (comes, leaves) in enumerate(within):
            stops = min(leaves + alone, within[n + 1][0] - 1 if n + 1 < len(within) else end)
            found.append(Manned(comes, max(leaves, stops), leaves))
    return found


def alone_seconds(campaign: Campaign, press: str) -> int:
    """How long a press may go on when the people have left: the hours said, or sooner when its bin may be full."""
    machine = campaign.presses[press]
    if machine.lights_out is None:
        return 0
    seconds = -(-exact(machine.lights_out.hours) * 3600 // 1)
    if machine.lights_out.bin_shots is not None:
        shots = [
            exact(tool.cycle_s) / exact(machine.efficiency) for tool in campaign.tools.values() if press in tool.presses
        ]
        if shots:
            seconds = min(seconds, min(shots) * machine.lights_out.bin_shots // 1)
    return int(seconds)
