"""How long a job goes on after its budget, and where its threads stand once that is too long.

A busy machine is no fault of a plan: while the process's threads wait for a free core, or for one that does, nothing
counts, within limits.
"""

import sys
import threading
import traceback
from collections.abc import Callable

from worker.solving.core_wait import waits

LONGEST_GRACE = 10.0
"""A job is ended after at most so many times its grace, however busy the machine is."""


class Overrun:
    """Asked every now and then, from one thread. waited: thread -> seconds it has waited for a core so far."""

    def __init__(self, waited: Callable[[], dict[int, float]] = waits) -> None:
        self._waited = waited
        self._past = self._counted = 0.0
        self._before: dict[int, float] | None = None

    def too_long(self, past: float, grace: float) -> bool:
        """Whether a job that goes on for `past` seconds after its budget has had its grace."""
        if past <= 0.0:
            return False
        now = self._waited()
        if self._before is not None:
            # Any of them may hold what the others need (the interpreter, what a chain of moves comes to), so what each
            # waited is taken to have held up all.
            held_up = sum(max(0.0, seconds - self._before.get(thread, 0.0)) for thread, seconds in now.items())
            self._counted += max(0.0, past - self._past - held_up)
        elif not now:
            self._counted = past  # nobody counts it
        self._past, self._before = past, now
        return self._counted > grace or past > LONGEST_GRACE * grace

    def __str__(self) -> str:
        return f"{self._past:.0f} s after its budget, {self._past - self._counted:.0f} of them waiting for a core"


def where_threads_stand() -> str:
    """Every thread of this process but the main one, with the lines it is in, the innermost last."""
    frames = sys._current_frames()
    main = threading.main_thread()
    told: list[str] = []
    for thread in threading.enumerate():
        frame = frames.get(thread.ident or 0)
        if thread is not main and frame is not None:
            told.append(f"{thread.name}:\n{''.join(traceback.format_stack(frame))}")
    return "\n".join(told)
