"""Work on one plan from claim to publication.

The planner thinks in a thread while the main thread listens (`listening`); in the end the result is written down,
fenced by the attempt number.
"""

import logging
import time
from collections.abc import Callable

from sqlalchemy import Connection

from planner.campaign import Campaign
from planner.control import Control
from planner.errors import AuditFailed, CampaignProblems, Infeasible, Problem, Stopped
from planner.plan import RunPlan
from planner.plan.verdict import left_out
from worker.records import claiming
from worker.records.claiming import Claim, Published
from worker.records.database import Database
from worker.settings import Settings
from worker.solving.control import WatchedControl
from worker.solving.listening import Hold, Thought, listen, thinking, write_down
from worker.solving.sure import ask_how_sure

log = logging.getLogger(__name__)

Planner = Callable[[Campaign, Control], RunPlan]


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
    hold = _hold(mine, settings)
    thought = thinking(hold.name, lambda: _think(mine, control, planner))
    if listen(database, settings, hold, control, thought.done):
        written = write_down(database, settings, hold, lambda connection: _write(connection, mine, thought))
        log.info("written" if written else "superseded", extra=hold.about | {"attempt": mine.attempt})


def _think(mine: Claim, control: WatchedControl, planner: Planner) -> RunPlan:
    campaign = Campaign.model_validate_json(mine.document)
    if campaign.planning.rounds is not None:
        control.leave_to_rounds()
    return planner(campaign, control)


def _hold(mine: Claim, settings: Settings) -> Hold:
    overran = Problem(
        "",
        "planning did not end long after its time budget and was ended by force",
        "plan a smaller campaign, or give `planning.seconds` more time",
    )
    return Hold(
        name=f"plan-{mine.plan_id}",
        about={"plan": mine.plan_id},
        standing=lambda connection: claiming.standing(connection, mine),
        renew=lambda connection: claiming.renew(connection, mine, time.time(), settings.lease),
        give_up=lambda connection: claiming.fail(connection, mine, "overran", [as_json(overran)], time.time()),
        tell=lambda connection, progress: claiming.note_progress(connection, mine, progress, time.time()),
    )


def _write(connection: Connection, mine: Claim, thought: Thought[RunPlan]) -> bool:
    if thought.result is not None:
        now = time.time()
        published = claiming.publish(connection, mine, _published(thought.result, thought.seconds), now)
        if published:
            try:
                with connection.begin_nested():
                    ask_how_sure(connection, mine, now)
            except Exception:  # the plan is there, how sure it is can be asked again
                log.exception("fault in asking how sure a plan is", extra={"plan": mine.plan_id})
        if wrong := left_out(thought.result):
            log.error("fault in a part of a plan", extra={"plan": mine.plan_id, "of": wrong.about, "said": wrong.text})
        return published
    because, problems = _reason(thought.error)
    if because == "fault":
        log.error("planner fault", exc_info=thought.error, extra={"plan": mine.plan_id})
    return claiming.fail(connection, mine, because, [as_json(p) for p in problems], time.time())


def _published(plan: RunPlan, seconds: float) -> Published:
    return Published(
        document=plan.model_dump_json(by_alias=True),
        cost=plan.outcome.total,
        bound=plan.outcome.lower_bound,
        gap=plan.outcome.gap,
        ended_because=plan.outcome.ended.replace(" ", "-"),
        solve_seconds=round(seconds, 3),
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
