"""What is aimed at cannot get better; what decides between equals still can, for a while."""

from planner.schedule.stop.standing import Ended, Standing


class Polish:
    """Once the gap is closed: so many slices more, cooling once, then it ends as proven. applies: whether a closed gap
    proves the aim."""

    def __init__(self, applies: bool, slices: int) -> None:
        self.applies, self.slices = applies, slices
        self.since: int | None = None

    def __call__(self, standing: Standing) -> Ended | None:
        if not self.applies or standing.gap > 0.0:
            return None
        if self.since is None:
            self.since = standing.slices
        return "proven" if standing.slices - self.since >= self.slices else None

    def began(self, standing: Standing) -> bool:
        """Whether it begins with this slice."""
        return self.since == standing.slices

    def share(self, standing: Standing) -> tuple[float, float] | None:
        """Of its slices used, now and after one more; None: it has not begun."""
        if self.since is None:
            return None
        done = standing.slices - self.since
        return done / self.slices, (done + 1) / self.slices
