"""A thread thinks while the process's main thread listens; the same for a plan and for a part of a study.

Listening keeps the lease, hears "stop", "cancel" and that the worker is asked to end, and tells how far it is. It
outlives a database that is away and a moment without memory: only what the thread came to, or the lost lease, ends it.
"""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Generic, Protocol, TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from planner.studies.parts import Said
from worker.leaving import Leaving
from worker.records import leases
from worker.records.database import Database
from worker.records.leases import Fence
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.overrun import where_threads_stand

log = logging.getLogger(__name__)

T = TypeVar("T")
TICK = 0.05
"""Seconds between two looks at the thread, after the first few, which come sooner: much is quick."""
LOOK = 0.1
"""Seconds between two looks at the row: how soon a stop is heard."""
TELL = 0.5
"""Seconds between two tellings of how far it is."""


class Overran(Exception):
    """The thread did not come back long after its budget: its process must be ended."""


@dataclass
class BackgroundResult(Generic[T]):
    """What a thread came to: a result or an error. seconds: how long it took."""

    done: threading.Event = field(default_factory=threading.Event)
    result: T | None = None
    error: BaseException | None = None
    seconds: float = 0.0


class Listened(Protocol):
    """What listening needs of a job; see `Job`."""

    @property
    def name(self) -> str: ...
    @property
    def about(self) -> dict[str, str]: ...
    @property
    def fence(self) -> Fence: ...
    @property
    def control(self) -> WatchedControl: ...
    @property
    def standing(self) -> Callable[[Connection], tuple[bool, bool]]: ...
    @property
    def tell(self) -> Callable[[Connection, dict[str, Any]], object] | None: ...
    @property
    def say(self) -> Callable[[Connection, list[Said]], object] | None: ...
    def give_up(self, connection: Connection) -> object: ...


@dataclass(frozen=True)
class Heard:
    """Until the thread ended. ours: whether the claim still is. stop: somebody asked to. leaving: the worker ends."""

    ours: bool
    stop: bool
    leaving: bool


def in_background(name: str, think: Callable[[], T]) -> BackgroundResult[T]:
    """Start a thread of that name that thinks."""
    result: BackgroundResult[T] = BackgroundResult()

    def run() -> None:
        begun = time.monotonic()
        try:
            result.result = think()
        except MemoryError:
            # Without its traceback, which would keep what took the memory until the end is written down.
            result.error = MemoryError()
        except BaseException as error:
            result.error = error
        result.seconds = time.monotonic() - begun
        result.done.set()

    threading.Thread(target=run, name=name, daemon=True).start()
    return result


def listen(database: Database, settings: Settings, job: Listened, done: threading.Event, leaving: Leaving) -> Heard:
    """Wait for the thread, and say what was heard meanwhile.

    Raises Overran, after giving the claim up, when the thread has to be ended by force.
    """
    looked = told = renewed = time.monotonic()
    last: dict[str, Any] = {}
    control = job.control
    ours, stop, overran, wait = True, False, False, TICK / 20
    while not done.wait(wait):
        wait = min(TICK, wait * 2)
        now = time.monotonic()
        if leaving.asked():
            control.ask_to_stop()
        try:
            if overran or control.overran(settings.overrun_grace):
                if not overran:
                    overran = True
                    stand = {"stand": where_threads_stand()}
                    log.error("ended by force %s", control.overrun, extra=job.about | stand)
                with database.write() as connection:
                    job.give_up(connection)
                raise Overran(job.name)
            if ours and now - looked >= LOOK:
                looked = now
                with database.read() as connection:
                    ours, stop = job.standing(connection)
                if stop or not ours:
                    control.ask_to_stop()
            if ours and now - renewed >= settings.heartbeat:
                renewed = now
                with database.write() as connection:
                    leases.renew(connection, job.fence, database.lease_clock.now(connection), settings.lease)
            progress = _progress(control)
            if ours and job.tell is not None and progress and progress != last and now - told >= TELL:
                told, last = now, progress
                with database.write() as connection:
                    job.tell(connection, progress)
            said = control.said()
            if ours and job.say is not None and said:
                with database.write() as connection:
                    job.say(connection, said)
                control.passed_on(len(said))
        except MemoryError:
            # Whoever asks first when there is no more hears it; the thinking thread will too, and then it is over.
            if overran:
                raise Overran(job.name) from None  # not even that could be written down: its lease will run out
        except DBAPIError as error:
            # The database is away: think on. If the lease runs out meanwhile the fence will tell.
            log.warning("cannot reach the records: %s", error.orig, extra=job.about)
    return Heard(ours, stop, leaving.asked())


def _progress(control: WatchedControl) -> dict[str, Any]:
    latest = control.latest()
    if latest is None:
        return {}
    return {
        "phase": latest.phase,
        "share": round(min(1.0, max(0.0, latest.share)), 3),
        "cost": latest.cost,
        "bound": latest.bound,
        "gap": latest.gap,
    }


def write_down(database: Database, settings: Settings, about: dict[str, str], write: Callable[[Connection], T]) -> T:
    """Write the end in one transaction, trying again while the database is away, as long as nobody else has the claim.

    Raises DBAPIError where it stays away for a minute, or four leases if that is longer.
    """
    until = time.monotonic() + max(settings.lease * 4, 60)
    while True:
        try:
            with database.write() as connection:
                return write(connection)
        except DBAPIError as error:
            if time.monotonic() > until:
                raise
            log.warning("cannot reach the records: %s", error.orig, extra=about)
            time.sleep(0.5)
