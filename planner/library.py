"""The planner for whoever plans without the service: read a campaign, plan it, check the plan, simulate it.

import json, time
import planner

campaign = planner.read(json.load(open("campaign.json")))
plan = planner.solve(campaign, clock=time.monotonic)
verdict = planner.audit_plan(campaign, plan)
promise = planner.simulate(campaign, plan)
"""

from collections.abc import Callable

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Progress
from planner.plan.document import Audit, RunPlan
from planner.planning.make import make_plan
from planner.promise.document import CONFIDENCE, Promise
from planner.promise.make import REPLICATIONS, make_promise
from planner.reading import read
from planner.schedule.warm import warm

__all__ = ["audit_plan", "read", "simulate", "solve"]

NO_CLOCK = (
    "nothing says when to end: hand in a clock (`clock=time.monotonic`), so that the campaign's `planning.seconds` "
    "hold, or set `planning.rounds`"
)


def solve(
    campaign: Campaign,
    *,
    clock: Callable[[], float] | None = None,
    stop: Callable[[], bool] | None = None,
    report: Callable[[Progress], None] | None = None,
    cores: int = 2,
) -> RunPlan:
    """Plan a campaign that `read` gave, from the order of work it names if it names one. The plan is audited.

    clock: seconds, from any moment on; the search ends `planning.seconds` after the inner loops are compiled, which the
    first call of a process sees to before. With `planning.rounds` set, rounds decide and no clock is needed.
    stop: asked again and again, from several threads; once it says True, the best plan so far is given.
    report: told how far the search is. cores: kept busy at most.

    Raises ValueError without clock and rounds, Infeasible with reasons where nothing can be carried out, Stopped if
    `stop` said so before there was a first plan, AuditFailed where no plan found passes its own audit.
    """
    seconds = None if campaign.planning.rounds is not None else campaign.planning.seconds
    if seconds is not None and clock is None:
        raise ValueError(NO_CLOCK)
    if cores < 1:
        raise ValueError("a plan needs a core to think with: cores is 1 or more")
    warm()
    return make_plan(campaign, _Asked(clock, seconds, stop, report, cores))


def audit_plan(campaign: Campaign, plan: RunPlan) -> Audit:
    """Check every rule anew from the two documents; nothing is trusted of how the plan was made."""
    return audit(campaign, plan)


def simulate(
    campaign: Campaign,
    plan: RunPlan,
    *,
    replications: int = REPLICATIONS,
    seed: int = 1,
    confidence: float = CONFIDENCE,
    cores: int = 1,
) -> Promise:
    """Follow the plan through that many simulated campaigns: dates with how sure they are, by tier and order group.

    confidence: of the day to announce, a share. The answer does not depend on cores.
    """
    return make_promise(campaign, plan, replications=replications, seed=seed, confidence=confidence, cores=cores)


class _Asked:
    """The planner's control, as the caller's functions have it."""

    def __init__(
        self,
        clock: Callable[[], float] | None,
        seconds: float | None,
        stop: Callable[[], bool] | None,
        report: Callable[[Progress], None] | None,
        cores: int,
    ) -> None:
        self._clock, self._stop, self._report, self._cores = clock, stop, report, cores
        self._end = None if clock is None or seconds is None else clock() + seconds

    def should_stop(self) -> bool:
        return self._stop is not None and self._stop()

    def seconds_left(self) -> float | None:
        if self._clock is None or self._end is None:
            return None
        return max(0.0, self._end - self._clock())

    def cores(self) -> int:
        return self._cores

    def report(self, progress: Progress) -> None:
        if self._report is not None:
            self._report(progress)
