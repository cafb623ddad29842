"""Better lower bounds worked out beside the search, on the second core, or before it where there is only one."""

from collections import deque
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait

from planner.schedule.bounds.lower_bound import Solvers, thought
from planner.schedule.bounds.press_hours import LowerBound
from planner.schedule.instance import Instance

Better = tuple[LowerBound, list[list[int]] | None]
LISTEN = 0.1
"""Seconds between two questions whether to stop, while the result is waited for."""


class BackgroundBound:
    """Begins at once; `arrived` gives each result once; `stop` ends it within moments. best: asked what the best plan
    known meanwhile costs. patient: whether there is time for the dearest."""

    def __init__(
        self, inst: Instance, known: LowerBound, effort: float, best: Callable[[], float], patient: bool = False
    ) -> None:
        self._solvers = Solvers(best, patient)
        self._found: deque[Better] = deque()
        self._asked = False
        self._pool = ThreadPoolExecutor(max_workers=1)
        self._work: Future[None] = self._pool.submit(self._think, inst, known, effort)

    def _think(self, inst: Instance, known: LowerBound, effort: float) -> None:
        for better in thought(inst, known, effort, self._solvers):
            self._found.append(better)

    def arrived(self) -> Better | None:
        """A better bound, with its order of runs if it has one; each only once."""
        if not self._found:
            if self._work.done() and not self._asked:
                self._asked = True
                self._work.result()  # a fault of its own is not to be lost, nor told twice
            return None
        return self._found.popleft()

    def finished(self) -> bool:
        """Whether its core is free again. What it found may still wait to be taken."""
        if self._work.done():
            self._pool.shutdown()
            return True
        return False

    def awaited(self, should_stop: Callable[[], bool]) -> Better | None:
        """The best result, waited for; the best so far within moments once `should_stop`."""
        while not wait([self._work], LISTEN).done:
            if should_stop():
                self._solvers.stop()  # a programme being solved ends by itself, heard by nobody
                break
        self._pool.shutdown(wait=self._work.done())
        best: Better | None = None
        while (better := self.arrived()) is not None:
            best = (better[0], better[1] if better[1] is not None or best is None else best[1])
        return best

    def stop(self) -> None:
        self._solvers.stop()
        self._pool.shutdown(wait=False, cancel_futures=True)
