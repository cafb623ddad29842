"""Others' work on a press while a scenario is worked off (A13): R21 read anew, stretch by stretch."""

from planner.audit.case import Case, Work
from planner.audit.others import left_between


class Sharing:
    """A press that others work on. since: for each of its stretches the last before which they worked, -1: none."""

    def __init__(self, case: Case, press: str, openings: list[tuple[int, int]]) -> None:
        barrels = len(case.campaign.presses[press].barrels)
        self.since: list[int] = []
        self._left: dict[int, dict[int, str]] = {}
        latest, before = -1, case.start
        for k, (opens, closes) in enumerate(openings):
            left = {n: left_between(case.theirs[press], before, opens, n) for n in range(1, barrels + 1)}
            if left[1] is not None:
                latest = k
                self._left[k] = {n: melt for n, melt in left.items() if melt is not None}
            self.since.append(latest)
            before = closes

    def until(self, k: int) -> int:
        """The first stretch from then on before which they work again."""
        return next((n for n in range(k + 1, len(self.since)) if self.since[n] != self.since[k]), len(self.since))

    def left(self, k: int) -> dict[int, str]:
        """What stands in the barrels where a stretch begins after their work."""
        return dict(self._left[self.since[k]])


def goes_on(case: Case, before: Work, end: int, work: Work, begin: int) -> bool:
    """Whether a run is what others broke off of the run before it on its press, which ended then."""
    same = (before.run.press, before.run.tool, before.run.melts) == (work.run.press, work.run.tool, work.run.melts)
    return same and left_between(case.theirs[work.run.press], end, begin, 1) is not None
