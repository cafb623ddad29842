"""Work on one plan from claim to publication.

The planner thinks in a thread; this, the process's main thread, keeps the lease, hears "stop" and "cancel",
tells progress, and in the end writes the result down, fenced by the attempt number.
"""

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy.exc import DBAPIError

from planner.campaign import Campaign
from planner.control import Control
from planner.errors import AuditFailed, CampaignProblems, Infeasible, Problem, Stopped
from planner.plan import RunPlan
from worker.records import claiming
from worker.records.claiming import Claim, Published
from worker.records.database import Database
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.sure import ask_how_sure

log = logging.getLogger(__name__)

Planner = Callable[[Campaign, Control], RunPlan]
TICK = 0.05
"""Seconds between two looks at the thread."""
LOOK = 0.1
"""Seconds between two looks at the plan's row: how soon a stop is heard."""
TELL = 0.5
"""Seconds between two progress events."""


@dataclass
class Thinking:
    """What the planner's thread came to."""

    done: threading.Event = field(default_factory=threading.Event)
    plan: RunPlan | None = None
    error: BaseException | None = None
    seconds: float = 0.0


class Overran(Exception):
    """The planner did not come back long after its budget: its process must be ended."""


def work(database: Database, settings: Settings, plan_id: str, worker: str, planner: Planner) -> None:
    """Claim the plan and bring it to its end. Does nothing if there is nothing to claim.

    Raises Overran, after failing the plan, when the planner has to be ended by force.
    """
    with database.write() as connection:
        mine = claiming.claim(
            connection, plan_id, worker, time.time(), settings.lease, settings.attempts, settings.cores
        )
    if mine is None:
        return
    log.info("planning", extra={"plan": plan_id, "attempt": mine.attempt, "request": mine.request_id})
    control = WatchedControl(mine.budget, settings.cores)
    thinking = Thinking()
    thread = threading.Thread(
        target=_think, args=(mine, control, planner, thinking), name=f"plan-{plan_id}", daemon=True
    )
    thread.start()
    if not _watch(database, settings, mine, control, thinking):
        return
    _record(database, settings, mine, thinking, control)


def _think(mine: Claim, control: WatchedControl, planner: Planner, thinking: Thinking) -> None:
    begun = time.monotonic()
    try:
        campaign = Campaign.model_validate_json(mine.document)
        if campaign.planning.rounds is not None:
            control.leave_to_rounds()
        thinking.plan = planner(campaign, control)
    except MemoryError:
        # Without its traceback, which would keep what took the memory until the plan's end is written down.
        thinking.error = MemoryError()
    except BaseException as error:
        thinking.error = error
    thinking.seconds = time.monotonic() - begun
    thinking.done.set()


def _watch(database: Database, settings: Settings, mine: Claim, control: WatchedControl, thinking: Thinking) -> bool:
    """Wait for the thread; False once the plan is no longer mine and the thread has ended."""
    looked = told = renewed = time.monotonic()
    last: dict[str, Any] = {}
    held = True
    while not thinking.done.wait(TICK):
        now = time.monotonic()
        if control.overran(settings.overrun_grace):
            _give_up(database, mine, thinking)
        try:
            if held and now - looked >= LOOK:
                looked = now
                with database.read() as connection:
                    held, stop = claiming.standing(connection, mine)
                if stop or not held:
                    control.ask_to_stop()
            if held and now - renewed >= settings.heartbeat:
                renewed = now
                with database.write() as connection:
                    claiming.renew(connection, mine, time.time(), settings.lease)
            progress = _progress(control)
            if held and progress and progress != last and now - told >= TELL:
                told, last = now, progress
                with database.write() as connection:
                    claiming.note_progress(connection, mine, progress, time.time())
        except MemoryError:
            # Whoever asks first when there is no more hears it; the planner's thread will too, and then it is over.
            continue
        except DBAPIError as error:
            # The database is away: think on. If the lease runs out meanwhile the fence will tell.
            log.warning("cannot reach the records: %s", error.orig, extra={"plan": mine.plan_id})
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


def _give_up(database: Database, mine: Claim, thinking: Thinking) -> None:
    problem = Problem(
        "",
        "planning did not end long after its time budget and was ended by force",
        "plan a smaller campaign, or give `planning.seconds` more time",
    )
    with database.write() as connection:
        claiming.fail(connection, mine, "overran", [as_json(problem)], time.time())
    raise Overran(mine.plan_id)


def _record(database: Database, settings: Settings, mine: Claim, thinking: Thinking, control: WatchedControl) -> None:
    """Publish or fail, trying again while the database is away, as long as nobody else has the plan."""
    until = time.monotonic() + max(settings.lease * 4, 60)
    while True:
        try:
            with database.write() as connection:
                written = _write(connection, mine, thinking, control)
            break
        except DBAPIError as error:
            if time.monotonic() > until:
                raise
            log.warning("cannot reach the records: %s", error.orig, extra={"plan": mine.plan_id})
            time.sleep(0.5)
    log.info("written" if written else "superseded", extra={"plan": mine.plan_id, "attempt": mine.attempt})


def _write(connection: Any, mine: Claim, thinking: Thinking, control: WatchedControl) -> bool:
    if thinking.plan is not None:
        now = time.time()
        published = claiming.publish(connection, mine, _published(thinking, control), now)
        if published:
            ask_how_sure(connection, mine, now)
        return published
    because, problems = _reason(thinking.error)
    if because == "fault":
        log.error("planner fault", exc_info=thinking.error, extra={"plan": mine.plan_id})
    return claiming.fail(connection, mine, because, [as_json(p) for p in problems], time.time())


def _published(thinking: Thinking, control: WatchedControl) -> Published:
    plan = thinking.plan
    assert plan is not None
    return Published(
        document=plan.model_dump_json(by_alias=True),
        cost=plan.outcome.total,
        bound=plan.outcome.lower_bound,
        gap=plan.outcome.gap,
        ended_because=plan.outcome.ended.replace(" ", "-"),
        solve_seconds=round(thinking.seconds, 3),
    )


def _reason(error: BaseException | None) -> tuple[str, list[Problem]]:
    match error:
        case CampaignProblems():
            return "unreadable", error.problems
        case Infeasible():
            return "infeasible", error.problems
        case AuditFailed():
            return "broken-rules", error.broken
        case Stopped():
            return "stopped", [Problem("", "stopped before a first plan was found", "give it more time")]
        case MemoryError():
            text = "the campaign needs more memory than one plan may use"
            return "too-large", [Problem("", text, "plan fewer colourways or orders at a time")]
        case _:
            text = "the planner failed; this is our fault, not the campaign's"
            return "fault", [Problem("", text, "try again; if it happens again, tell us with this plan's id")]


def as_json(problem: Problem) -> dict[str, str]:
    """A problem as it is kept and answered."""
    return {"pointer": problem.pointer, "message": problem.message, "remedy": problem.remedy}
