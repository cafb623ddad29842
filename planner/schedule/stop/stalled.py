"""Nothing better is found any more."""

from planner.schedule.stop.standing import Ended, Standing


class Stalled:
    """Ends after so many slices in a row without a better plan: that budget is used."""

    def __init__(self, slices: int) -> None:
        self.slices = slices
        self.best = float("inf")
        self.since = 0

    def __call__(self, standing: Standing) -> Ended | None:
        if standing.objective < self.best:
            self.best, self.since = standing.objective, standing.slices
        return "budget used" if standing.slices - self.since >= self.slices else None
