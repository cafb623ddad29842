"""Work on one claimed job, a plan or a part of a study, to its end: a thread thinks, the main thread listens."""

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from sqlalchemy import Connection

from planner.errors import Stopped
from planner.studies.parts import Said
from worker.leaving import STAYING, Leaving
from worker.records import claiming
from worker.records.claiming import C, Claim, Claimant, J, Kind
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
    """What working on a claim needs of its kind. Everything that writes is fenced and says whether the claim still was
    ours.

    think: the work. keep: write the result; seconds: how long it took. hand_back: back into the queue, with the result
    as far as it goes. tell: write how far it is; say: write what was worked out on the way; None where nobody asks.
    """

    mine: Claim
    control: WatchedControl
    wording: Wording
    think: Callable[[], T]
    keep: Callable[[Connection, T, float], bool]
    hand_back: Callable[[Connection, T | None, float], bool]
    tell: Callable[[Connection, dict[str, Any]], object] | None = None
    say: Callable[[Connection, list[Said]], object] | None = None

    @property
    def name(self) -> str:
        return f"{self.mine.job}-{self.mine.fence.row_id}"

    @property
    def about(self) -> dict[str, str]:
        """What a line in the log says of it."""
        return {self.mine.job: self.mine.job_id}

    @property
    def fence(self) -> Fence:
        return self.mine.fence

    def standing(self, connection: Connection) -> tuple[bool, bool]:
        """Whether the claim is still ours, and whether somebody asked to stop."""
        return claiming.standing(connection, self.mine)

    def fail(self, connection: Connection, because: str, problems: list[dict[str, str]]) -> bool:
        """Write why there is no result."""
        return claiming.fail(connection, self.mine, because, problems, time.time())

    def give_up(self, connection: Connection) -> bool:
        """Fail it for having overrun."""
        return self.fail(connection, "overran", [as_json(self.wording.overran)])


@dataclass(frozen=True)
class Hands:
    """A worker process. name: of the process. leaving: whether it is asked to end."""

    database: Database
    settings: Settings
    name: str
    leaving: Leaving = STAYING


def work_on(hands: Hands, kind: Kind[J, C], row_id: str, job_of: Callable[[C], Job[T]]) -> None:
    """Claim the row and bring its job to an end. Does nothing if there is nothing to claim.

    Raises Overran, after failing the job, when the thread has to be ended by force.
    """
    database, settings = hands.database, hands.settings
    by = Claimant(hands.name, settings.lease, settings.attempts, settings.cores)
    with database.write() as connection:
        mine = claiming.claim(connection, kind, row_id, by, database.lease_clock.now(connection), time.time())
    if mine is None:
        return
    job = job_of(mine)
    of = {"row": row_id, "attempt": mine.fence.attempt, "request": mine.request_id}
    log.info("work begins", extra=job.about | of)
    work(database, settings, job, hands.leaving)


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
