"""Every plan has been gone through."""

from collections.abc import Callable

from planner.schedule.stop.standing import Ended, Standing


class GoneThrough:
    """Goes through all plans once, when it is due, and ends if that leaves nothing to look for. due: whether it may
    begin; prove: does it, and says how that ends the search, if it does."""

    def __init__(self, due: Callable[[Standing], bool], prove: Callable[[], Ended | None]) -> None:
        self.due, self.prove = due, prove
        self.tried = False

    def __call__(self, standing: Standing) -> Ended | None:
        if self.tried or not self.due(standing):
            return None
        self.tried = True
        return self.prove()
