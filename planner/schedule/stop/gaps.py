"""The best plan is near enough to its bound."""

from planner.schedule.stop.standing import Ended, Standing


class BoundMet:
    """Ends once the bound proves that nothing is better."""

    def __call__(self, standing: Standing) -> Ended | None:
        return "proven" if standing.met else None


class GapReached:
    """Ends at a gap, as a share; 0: never."""

    def __init__(self, gap: float) -> None:
        self.gap = gap

    def __call__(self, standing: Standing) -> Ended | None:
        return "gap reached" if self.gap > 0.0 and standing.gap <= self.gap else None
