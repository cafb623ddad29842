"""Work on one claimed job, a plan or a part of a study, to its end: a thread thinks, the main thread listens."""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection

from planner.errors import Stopped
from worker.leaving import Leaving
from worker.records.database import Database
from worker.records.leases import Fence
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.failures import Wording, as_json, reason
from worker.solving.listening import BackgroundResult, in_background, listen, write_down

log = logging.getLogger(__name__)

T = TypeVar("T")


@dataclass(frozen=True)
class Job(Generic[T]):
    """What working on a claim needs of it. Everything that writes is fenced and says whether the claim was still ours.

    about: what a line in the log says of it. think: the work. standing: whether the claim is still ours, and whether
    somebody asked to stop. keep: write the result; seconds: how long it took. fail: write why there is none. hand_back:
    back into the queue, with the result as far as it goes. tell: write how far it is; None where nobody asks.
    """

    name: str
    about: dict[str, str]
    fence: Fence
    control: WatchedControl
    wording: Wording
    think: Callable[[], T]
    standing: Callable[[Connection], tuple[bool, bool]]
    keep: Callable[[Connection, T, float], bool]
    fail: Callable[[Connection, str, list[dict[str, str]]], bool]
    hand_back: Callable[[Connection, T | None, float], bool]
    tell: Callable[[Connection, dict[str, Any]], object] | None = None

    def give_up(self, connection: Connection) -> bool:
        """Fail it for having overrun."""
        return self.fail(connection, "overran", [as_json(self.wording.overran)])


def work(database: Database, settings: Settings, job: Job[T], leaving: Leaving) -> None:
    """Bring the job to its end, or back into the queue where this worker is asked to end first.

    Raises Overran, after failing the job, when the thread has to be ended by force.
    """
    thought = in_background(job.name, job.think)
    heard = listen(database, settings, job, thought.done, leaving)
    if not heard.ours:
        log.info("superseded", extra=job.about)
        return
    cut_short = heard.leaving and not heard.stop and job.control.heard_stop()
    gives_back = cut_short and (thought.error is None or isinstance(thought.error, Stopped))

    def write(connection: Connection) -> bool:
        if gives_back:
            return job.hand_back(connection, thought.result, thought.seconds)
        return _end(connection, job, thought)

    ours = write_down(database, settings, job.about, write)
    log.info(("handed back" if gives_back else "written") if ours else "superseded", extra=job.about)


def _end(connection: Connection, job: Job[T], thought: BackgroundResult[T]) -> bool:
    if thought.result is not None:
        return job.keep(connection, thought.result, thought.seconds)
    because, problems = reason(thought.error, job.wording)
    if because == "fault":
        log.error("fault in the planner", exc_info=thought.error, extra=job.about)
    return job.fail(connection, because, [as_json(problem) for problem in problems])
