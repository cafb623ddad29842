"""One call in a process of its own, which can be ended: after so much processor time, so much time, so much memory.

The process is forked from a server that holds the modules already (`forkserver`: never from this process, whose
threads may hold locks) and ends with its answer, so what it took is given back to the machine.
"""

import gc
import multiprocessing
import pickle
import resource
import signal
import sys
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from typing import Any, Literal, TypeVar

from api.apart.whose import whose
from worker.parents import die_with_parent

Answer = TypeVar("Answer")
_FORKING = multiprocessing.get_context("forkserver")
_PRELOADED = [
    "api.apart.typesetting", "api.documents.order_answers", "api.uploads.document", "api.uploads.ready",
    "api.uploads.suggest", "api.uploads.tables", "api.uploads.xlsx_table", "typst",
]  # fmt: skip
_FORKING.set_forkserver_preload(_PRELOADED)


class Ended(Exception):
    """The process was ended before it answered, or died. by: what there was too much of, or that it died."""

    def __init__(self, by: Literal["time", "memory", "death"]) -> None:
        self.by = by
        super().__init__(by)


class Busy(Exception):
    """As many processes as may be are at work, and as many callers as may wait do."""

    def __init__(self) -> None:
        super().__init__("As much of this kind is being worked on as may be; nothing was changed. Try again shortly.")


@dataclass(frozen=True)
class Allowance:
    """What one call may take. seconds: of processor time, whole; longest: of time; memory_bytes: beyond the start's;
    most_seconds: of processor time where the work earns more (`may_take`); none: it cannot."""

    seconds: int
    longest: float
    memory_bytes: int
    most_seconds: int = 0


@dataclass
class Places:
    """How many processes work at a time, and how many callers may wait for a place for how long (seconds).

    A workshop has one place less than there are, and half of the room to wait: files that take as long as they may,
    sent again and again, leave a place to everybody else.
    """

    most: int
    waiting: int
    patience: float
    _changed: threading.Condition = field(default_factory=threading.Condition)
    _there: Counter[str] = field(default_factory=Counter)
    _working: Counter[str] = field(default_factory=Counter)

    @contextmanager
    def one(self, owner: str = "") -> Iterator[None]:
        """A place, held inside. owner: the workshop that asks. Raises Busy."""
        with self._changed:
            room, own_room = self.most + self.waiting, self._own_places + -(-self.waiting // 2)
            if self._there.total() >= room or self._there[owner] >= own_room:
                raise Busy
            self._there[owner] += 1
        working = False
        try:
            with self._changed:
                working = self._changed.wait_for(lambda: self._free_for(owner), self.patience)
                if not working:
                    raise Busy
                self._working[owner] += 1
            yield
        finally:
            with self._changed:
                for those in (self._there, self._working) if working else (self._there,):
                    those[owner] -= 1
                    if not those[owner]:
                        del those[owner]
                self._changed.notify_all()

    @property
    def _own_places(self) -> int:
        return max(1, self.most - 1)

    def _free_for(self, owner: str) -> bool:
        return self._working.total() < self.most and self._working[owner] < self._own_places


def call(places: Places, allowed: Allowance, work: Callable[..., Answer], *arguments: object) -> Answer:
    """What `work(*arguments)` gives, or the exception it raises. Raises Ended and Busy.

    work is a function of a module; arguments, the answer and exceptions travel pickled. Blocks: not for the event loop.
    """
    with places.one(whose.get()):
        ours, theirs = _FORKING.Pipe(duplex=False)
        process = _FORKING.Process(target=_work, args=(theirs, allowed, work, arguments), daemon=True)
        late = threading.Event()

        def end() -> None:
            late.set()
            process.kill()

        try:
            process.start()
            theirs.close()
            clock = threading.Timer(allowed.longest, end)
            clock.daemon = True
            clock.start()
            try:
                kind, said = ours.recv()
            except (EOFError, OSError):
                kind, said = "ended", None
            finally:
                clock.cancel()
            process.join(2)
            if kind == "ended":
                too_long = late.is_set() or process.exitcode == -signal.SIGXCPU
                raise Ended("time" if too_long else "death")
        finally:
            ours.close()
            if process.pid is not None:
                process.kill()
                process.join()
                process.close()
    if kind == "memory":
        raise Ended("memory")
    if kind == "raised":
        raise said
    answer: Answer = said
    return answer


def may_take(seconds: int) -> None:
    """In the process of a call: what is being done has shown that it is worth so much processor time in all.

    It gets the most that its allowance names, if that is less.
    """
    now, most = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (min(max(now, seconds), most - 2), most))


def prepare() -> None:
    """Start the server that forks, so that the first call need not wait for its modules."""
    from multiprocessing import forkserver

    forkserver.ensure_running()


def _work(answers: Connection, allowed: Allowance, work: Callable[..., Any], arguments: tuple[object, ...]) -> None:
    die_with_parent()
    gc.disable()  # it ends with its answer: looking for rubbish among a hundred thousand rows takes longer than they do
    resource.setrlimit(resource.RLIMIT_CPU, (allowed.seconds, max(allowed.seconds, allowed.most_seconds) + 2))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    with suppress(OSError, ValueError):
        # Where the address space cannot be told or limited, the other limits hold alone.
        most = _address_space() + allowed.memory_bytes
        resource.setrlimit(resource.RLIMIT_AS, (most, most))
    try:
        said = "answered", work(*arguments)
    except MemoryError:
        said = "memory", None
    except Exception as error:
        said = "raised", error
    try:
        packed = pickle.dumps(said)
    except MemoryError:
        packed = pickle.dumps(("memory", None))
    answers.send_bytes(packed)
    answers.close()


def _address_space() -> int:
    """Bytes of address space this process has now; raises OSError where nobody says."""
    if not sys.platform.startswith("linux"):
        raise OSError("only Linux says")
    with open("/proc/self/statm") as told:
        return int(told.read().split()[0]) * resource.getpagesize()
