"""When a search ends: one criterion each, put together by `AnyOf`, asked between two slices of work.

stop = AnyOf(Asked(control), BoundMet(), GapReached(0.02), Stalled(50), Rounds(200))
while not stop(standing): ...
stop.ended
"""

from planner.schedule.stop.any_of import AnyOf
from planner.schedule.stop.asked import Asked
from planner.schedule.stop.budgets import Deadline, Rounds
from planner.schedule.stop.gaps import BoundMet, GapReached
from planner.schedule.stop.gone_through import GoneThrough
from planner.schedule.stop.polish import Polish
from planner.schedule.stop.stalled import Stalled
from planner.schedule.stop.standing import Criterion, Ended, Standing

__all__ = [
    "AnyOf", "Asked", "BoundMet", "Criterion", "Deadline", "Ended", "GapReached", "GoneThrough", "Polish", "Rounds",
    "Stalled", "Standing",
]  # fmt: skip
