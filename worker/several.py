"""Several workers forked from one process that is warm: what they have loaded is there once, not once each.

A worker that ends is begun again at once, since nothing has to be loaded for it. The process they come from does
nothing else: it takes no plan, opens no connection, has no thread.
"""

import logging
import os
import signal
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from worker.parents import die_with_parent

log = logging.getLogger(__name__)

EARLY = 5.0
"""Seconds: who ends sooner does not come up, and beginning it again does not help."""
_HEARD = {signal.SIGTERM, signal.SIGINT, signal.SIGCHLD}


@dataclass(frozen=True)
class _Begun:
    number: int
    at: float


def several(number: int, work: Callable[[int], None]) -> None:
    """Have `work(n)` done in so many processes, n from 0, until this one is asked to end (SIGTERM, SIGINT): that is
    passed on, and all are waited for.

    Raises SystemExit with the status of one that ends with a fault, or is killed, as soon as it is begun, after the
    others.
    """
    for thread in threading.enumerate():
        if thread is not threading.main_thread():
            thread.join()  # a child would not have it, but whatever it held
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _HEARD)
    begun: dict[int, _Begun] = {}

    def begin(n: int) -> None:
        pid = os.fork()
        if pid == 0:
            _worked(n, work, before)
        begun[pid] = _Begun(n, time.monotonic())

    leaving, status = False, 0
    for n in range(number):
        begin(n)
    while begun:
        if signal.sigwait(_HEARD) != signal.SIGCHLD:
            leaving = True
            _pass_on(begun)
        for pid, code in _ended():
            one = begun.pop(pid)
            if leaving:
                continue
            log.warning("worker %d ended with %s", one.number + 1, code)
            if code != 0 and time.monotonic() - one.at < EARLY:
                leaving, status = True, code if code > 0 else 128 - code
                _pass_on(begun)
            else:
                begin(one.number)
    signal.pthread_sigmask(signal.SIG_SETMASK, before)
    if status:
        sys.exit(status)


def _worked(n: int, work: Callable[[int], None], before: set[int | signal.Signals]) -> None:
    """In the child: never returns."""
    code = 1
    try:
        die_with_parent()
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
        work(n)
        code = 0
    except SystemExit as end:
        if isinstance(end.code, str):
            print(end.code, file=sys.stderr)
        code = end.code if isinstance(end.code, int) else int(end.code is not None)
    except BaseException:
        log.exception("worker %d ends with a fault", n + 1)
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)  # what the parent registered for its own end is the parent's


def _pass_on(begun: dict[int, _Begun]) -> None:
    for pid in begun:
        os.kill(pid, signal.SIGTERM)


def _ended() -> list[tuple[int, int]]:
    """Process id and exit status of each child that has ended; a signal's number below zero."""
    found: list[tuple[int, int]] = []
    while True:
        try:
            pid, status = os.waitpid(-1, os.WNOHANG)
        except ChildProcessError:
            return found
        if pid == 0:
            return found
        found.append((pid, os.waitstatus_to_exitcode(status)))
