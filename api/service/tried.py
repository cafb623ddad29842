"""Whether something works, tried now and then rather than at each question."""

import threading
import time
from collections.abc import Callable

HOLDS = 1.0
"""Seconds that an answer holds."""


class Tried:
    """Whoever asks while it is being tried waits for what comes of it."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._until = float("-inf")
        self._works = False

    def works(self, attempt: Callable[[], bool]) -> bool:
        """What `attempt` says, or said at most so long ago."""
        with self._lock:
            if self._clock() >= self._until:
                self._works = attempt()
                self._until = self._clock() + HOLDS
            return self._works
