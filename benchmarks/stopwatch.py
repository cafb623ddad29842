"""A Control for benchmarks: ends after so many seconds, notes what was known when, and may ask to stop on the way."""

import os
import time

from planner.control import Progress


class Stopwatch:
    """Begins when made. stop_after: seconds until it asks to stop; None: never."""

    def __init__(self, seconds: float, stop_after: float | None = None) -> None:
        self.begun, self.seconds, self.stop_after = time.monotonic(), seconds, stop_after
        self.seen: list[tuple[float, Progress]] = []

    def elapsed(self) -> float:
        return time.monotonic() - self.begun

    def should_stop(self) -> bool:
        return self.stop_after is not None and self.elapsed() >= self.stop_after

    def seconds_left(self) -> float | None:
        return self.seconds - self.elapsed()

    def cores(self) -> int:
        return os.cpu_count() or 1

    def report(self, progress: Progress) -> None:
        self.seen.append((self.elapsed(), progress))

    def known_at(self, second: float) -> Progress | None:
        """The last report until then; None: none was there yet."""
        return next((progress for at, progress in reversed(self.seen) if at <= second), None)


class AsIfAlone(Stopwatch):
    """Seconds as they would be with two cores and nobody else on the machine: the processor time of the thread that
    made it, or half of all threads' where that is more, as when it waits for what works beside it."""

    def __init__(self, seconds: float) -> None:
        super().__init__(seconds)
        self.own, self.all = time.thread_time(), time.process_time()

    def elapsed(self) -> float:
        return max(time.thread_time() - self.own, (time.process_time() - self.all) / 2)

    def cores(self) -> int:
        return 2
