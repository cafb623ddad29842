"""How a planning job hears from outside and tells how far it is.

The planner reads no clock: whoever runs it owns the time and hands in a Control.
"""

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True)
class Progress:
    """One report while planning. Money in the campaign's currency; None where not known yet.

    phase: reading, first plan, search, proof, audit.
    share: how much of the budget is used, 0 to 1.
    """

    phase: str
    share: float
    cost: float | None = None
    bound: float | None = None
    gap: float | None = None


class Control(Protocol):
    """The planner's only link to the outside while it works."""

    def should_stop(self) -> bool:
        """True once somebody asked to stop and keep the best plan so far."""

    def seconds_left(self) -> float | None:
        """Seconds until the budget ends; None: no time budget, the iteration budget decides."""

    def cores(self) -> int:
        """How many cores this plan may keep busy at once, 1 or more."""

    def report(self, progress: Progress) -> None:
        """Take note of progress; must be quick and must not raise."""


class Unhurried:
    """Never stops, no deadline, two cores, keeps no reports: for tests and for callers who need the plan only."""

    def should_stop(self) -> bool:
        return False

    def seconds_left(self) -> float | None:
        return None

    def cores(self) -> int:
        return 2

    def report(self, progress: Progress) -> None:
        return None
