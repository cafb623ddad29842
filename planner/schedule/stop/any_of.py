"""Several criteria as one."""

from planner.schedule.stop.standing import Criterion, Ended, Standing


class AnyOf:
    """Ends with the first of them, in the order given, that says so; `ended` is why."""

    def __init__(self, *criteria: Criterion) -> None:
        self.criteria = criteria
        self.ended: Ended | None = None

    def __call__(self, standing: Standing) -> Ended | None:
        self.ended = next((why for criterion in self.criteria if (why := criterion(standing)) is not None), None)
        return self.ended
