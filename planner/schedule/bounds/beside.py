"""A better lower bound worked out beside the search, on the second core, or before it where there is only one."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait

from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.lowest import Lowest, with_effort
from planner.schedule.instance import Instance

Better = tuple[Lowest, list[list[int]] | None]
LISTEN = 0.1
"""Seconds between two questions whether to stop, while the result is waited for."""


class BesideTheSearch:
    """Begins at once; `arrived` gives the result once; `stop` ends it within moments."""

    def __init__(self, inst: Instance, least: Changeovers, known: Lowest, effort: float) -> None:
        self._solver = cp_model.CpSolver()
        self._pool = ThreadPoolExecutor(max_workers=1)
        self._work: Future[Better] | None = self._pool.submit(with_effort, inst, least, known, effort, self._solver)

    def arrived(self) -> Better | None:
        """The better bound and its order of runs, the first time it is asked for after it is there."""
        if self._work is None or not self._work.done():
            return None
        result, self._work = self._work.result(), None
        return result

    def awaited(self, should_stop: Callable[[], bool]) -> Better | None:
        """The result, waited for; it comes within moments once `should_stop`."""
        while self._work is not None and not wait([self._work], LISTEN).done:
            if should_stop():
                self._solver.stop_search()
        self._pool.shutdown()
        return self.arrived()

    def stop(self) -> None:
        self._solver.stop_search()
        self._pool.shutdown(wait=False, cancel_futures=True)
