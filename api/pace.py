"""How many requests a workshop may send: a bucket of a minute's worth that fills evenly.

Each API process keeps its own buckets: with n of them a workshop may send n times as many.
"""

import math
import threading
import time
from collections.abc import Callable


class Pace:
    """Buckets by workshop."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._buckets: dict[str, tuple[float, float]] = {}

    def wait(self, workshop_id: str, per_minute: int) -> float:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        now = self._clock()
        with self._lock:
            left, at = self._buckets.get(workshop_id, (float(per_minute), now))
            left = min(float(per_minute), left + (now - at) * per_minute / 60)
            allowed = left >= 1
            self._buckets[workshop_id] = (left - 1 if allowed else left, now)
        return 0 if allowed else max(1, math.ceil((1 - left) * 60 / max(1, per_minute)))
