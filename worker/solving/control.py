"""The planner's control as the worker implements it: a clock, a stop flag, the newest progress."""

import threading
import time
from collections import deque
from collections.abc import Callable

from planner.control import Progress
from planner.studies.parts import Said
from worker.solving.core_wait import CoreWait
from worker.solving.overrun import Overrun

LONGEST_STRETCH = 2.0
"""A budget lasts at most so many times as long as asked for, however busy the machine is."""


class WatchedControl:
    """Called by the planner from whatever thread it likes; read by the task's main thread.

    A budget is time to work in: what the planner's thread waits for a free core does not count, within limits.
    """

    def __init__(
        self,
        budget: float,
        cores: int = 1,
        clock: Callable[[], float] = time.monotonic,
        core_wait: CoreWait | None = None,
        overrun: Overrun | None = None,
    ) -> None:
        """budget: seconds from now. cores: how many the plan may keep busy."""
        self._clock, self._cores = clock, cores
        self._budget, self._begun = budget, clock()
        self._core_wait = core_wait or CoreWait()
        self.overrun = overrun or Overrun()
        self._waited = 0.0
        self._rounds_decide = False
        self._stop = threading.Event()
        self._heard_stop = False
        self._latest: Progress | None = None
        self._said: deque[Said] = deque()

    def begin(self) -> None:
        """The thread that calls is the planner's: its waiting counts."""
        self._core_wait.begin()

    def should_stop(self) -> bool:
        asked = self._stop.is_set()
        self._heard_stop = self._heard_stop or asked
        return asked

    def heard_stop(self) -> bool:
        """Whether the planner knows that it was asked to stop: else what it came to is whole."""
        return self._heard_stop

    def seconds_left(self) -> float | None:
        return None if self._rounds_decide else max(0.0, self._end() - self._clock())

    def cores(self) -> int:
        return self._cores

    def leave_to_rounds(self) -> None:
        """The campaign's round budget decides, so that the plan is the same on any machine."""
        self._rounds_decide = True

    def report(self, progress: Progress) -> None:
        # One reference, replaced: no lock to wait for, and nobody needs the ones in between.
        self._latest = progress

    def ask_to_stop(self) -> None:
        self._stop.set()

    def overran(self, grace: float) -> bool:
        """Whether the budget ended more than `grace` seconds ago, without those that the process waited for a core."""
        return self.overrun.too_long(self._clock() - self._end(), grace)

    def waited(self) -> float:
        """Seconds that the planner waited for a free core, as far as it is known."""
        self._waited = max(self._waited, self._core_wait.seconds())
        return self._waited

    def latest(self) -> Progress | None:
        return self._latest

    def tell(self, said: Said) -> None:
        """Take something worked out on the way, for whoever waits."""
        self._said.append(said)

    def said(self) -> list[Said]:
        """What was told and not passed on."""
        return list(self._said)

    def passed_on(self, number: int) -> None:
        """The first so many of what was told are written down."""
        for _ in range(number):
            self._said.popleft()

    def _end(self) -> float:
        return self._begun + min(self._budget + self.waited(), LONGEST_STRETCH * self._budget)
