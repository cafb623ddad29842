"""A budget is used up: of rounds, or of time. Each knows how much of it is used."""

from planner.control import Control
from planner.schedule.stop.standing import Ended, Standing

A_SLICE = 0.002
"""Share of a budget of time that a slice of work is taken to need."""


class Rounds:
    """Ends after so many rounds of so many slices each."""

    def __init__(self, rounds: int, slices_a_round: int = 1) -> None:
        self.slices = rounds * slices_a_round

    def __call__(self, standing: Standing) -> Ended | None:
        return "budget used" if standing.slices >= self.slices else None

    def share(self, standing: Standing) -> tuple[float, float]:
        """Of the budget used, now and after one more slice."""
        return standing.slices / self.slices, (standing.slices + 1) / self.slices


class Deadline:
    """Ends when the control has no seconds left of those it has now."""

    def __init__(self, control: Control) -> None:
        self.control, self.total = control, control.seconds_left() or 0.0
        self.left = self.total

    def __call__(self, standing: Standing) -> Ended | None:
        self.left = self.control.seconds_left() or 0.0
        return "budget used" if self.left <= 0 else None

    def share(self, standing: Standing) -> tuple[float, float]:
        """Of the budget used when last asked, and after one more slice."""
        share = max(0.0, 1 - self.left / self.total)
        return share, min(1.0, share + A_SLICE)
