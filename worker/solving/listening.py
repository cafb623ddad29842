"""A thread thinks while the process's main thread listens; the same for a plan and for a part of a study.

Listening keeps the lease, hears "stop" and "cancel", and tells how far it is. It outlives a database that is away and a
moment without memory: only what the thread came to, or the lost lease, ends it.
"""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection
from sqlalchemy.exc import DBAPIError

from worker.records.database import Database
from worker.settings import Settings
from worker.solving.control import WatchedControl

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
class Thought(Generic[T]):
    """What a thread came to: a result or an error. seconds: how long it took."""

    done: threading.Event = field(default_factory=threading.Event)
    result: T | None = None
    error: BaseException | None = None
    seconds: float = 0.0


@dataclass(frozen=True)
class Hold:
    """What listening needs of a claim. name: of its thread. about: what a line in the log says of it.

    standing: whether it is still ours, and whether somebody asked to stop. renew: keep it a while longer. give_up: fail
    it for having overrun. tell: write how far it is; None where nobody asks.
    """

    name: str
    about: dict[str, str]
    standing: Callable[[Connection], tuple[bool, bool]]
    renew: Callable[[Connection], object]
    give_up: Callable[[Connection], object]
    tell: Callable[[Connection, dict[str, Any]], object] | None = None


def thinking(name: str, think: Callable[[], T]) -> Thought[T]:
    """Start a thread of that name that thinks."""
    thought: Thought[T] = Thought()

    def run() -> None:
        begun = time.monotonic()
        try:
            thought.result = think()
        except MemoryError:
            # Without its traceback, which would keep what took the memory until the end is written down.
            thought.error = MemoryError()
        except BaseException as error:
            thought.error = error
        thought.seconds = time.monotonic() - begun
        thought.done.set()

    threading.Thread(target=run, name=name, daemon=True).start()
    return thought


def listen(database: Database, settings: Settings, hold: Hold, control: WatchedControl, done: threading.Event) -> bool:
    """Wait for the thread; False once the claim is no longer ours and the thread has ended.

    Raises Overran, after giving the claim up, when the thread has to be ended by force.
    """
    looked = told = renewed = time.monotonic()
    last: dict[str, Any] = {}
    held, wait = True, TICK / 20
    while not done.wait(wait):
        wait = min(TICK, wait * 2)
        now = time.monotonic()
        try:
            if control.overran(settings.overrun_grace):
                with database.write() as connection:
                    hold.give_up(connection)
                raise Overran(hold.name)
            if held and now - looked >= LOOK:
                looked = now
                with database.read() as connection:
                    held, stop = hold.standing(connection)
                if stop or not held:
                    control.ask_to_stop()
            if held and now - renewed >= settings.heartbeat:
                renewed = now
                with database.write() as connection:
                    hold.renew(connection)
            progress = _progress(control)
            if held and hold.tell is not None and progress and progress != last and now - told >= TELL:
                told, last = now, progress
                with database.write() as connection:
                    hold.tell(connection, progress)
        except MemoryError:
            # Whoever asks first when there is no more hears it; the thinking thread will too, and then it is over.
            if control.overran(settings.overrun_grace):
                raise Overran(hold.name) from None  # not even that could be written down: its lease will run out
        except DBAPIError as error:
            # The database is away: think on. If the lease runs out meanwhile the fence will tell.
            log.warning("cannot reach the records: %s", error.orig, extra=hold.about)
    return held


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


def write_down(database: Database, settings: Settings, hold: Hold, write: Callable[[Connection], T]) -> T:
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
            log.warning("cannot reach the records: %s", error.orig, extra=hold.about)
            time.sleep(0.5)
