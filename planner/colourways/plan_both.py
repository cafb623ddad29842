"""Planning both ways with one budget and one seed."""

from dataclasses import dataclass, replace

from planner.campaign import Campaign
from planner.colourways.price import ColourwayPrice, price
from planner.control import Control, Progress
from planner.planning.make import make_plan


@dataclass
class _Half:
    """One half of a control's time: the first from 0 to a half of its progress, the second from there to the end."""

    control: Control
    second: bool

    def __post_init__(self) -> None:
        left = self.control.seconds_left()
        self._kept = 0.0 if left is None or self.second else left / 2

    def should_stop(self) -> bool:
        return self.control.should_stop()

    def seconds_left(self) -> float | None:
        left = self.control.seconds_left()
        return None if left is None else max(0.0, left - self._kept)

    def cores(self) -> int:
        return self.control.cores()

    def report(self, progress: Progress) -> None:
        share = (progress.share + self.second) / 2
        self.control.report(replace(progress, share=share))


def planned_both_ways(as_it_is: Campaign, changed: Campaign, control: Control) -> ColourwayPrice:
    """Plan both campaigns, each with half of the control's time or with all the rounds the campaign gives.

    Raises what `planner.planning.make.make_plan` raises.
    """
    first = make_plan(as_it_is, _Half(control, second=False))
    return price(first, make_plan(changed, _Half(control, second=True)))
