"""A planner for tests of the layers above it: does what the campaign's name says, and plans nothing.

Run as a program it is a worker whose planner this is.
"""

import os
import time
from datetime import UTC, datetime

from planner.campaign import Campaign
from planner.control import Control, Progress
from planner.errors import AuditFailed, Infeasible, Problem, Stopped
from planner.plan import RunPlan
from planner.plan.document import BatchLine, Dispatch, Outcome, PackBatch, Run
from planner.planning.proven_before import ProvenBefore
from planner.schedule.stop.standing import Ended
from tests.support.pot_plan import pot_plan

SMALL_CAMPAIGN = {
    "name": "quick",
    "start": "2027-01-11T06:00",
    "presses": {"p1": {"barrels": [{"holdup_kg": 0.4, "shot_max_g": 200}], "clamp_kn": 800}},
    "tools": {"cup": {"cavities": {"cup": 1}, "cycle_s": 30, "presses": ["p1"]}},
    "resins": {"pp": {"family": "PP", "lead_days": 3}},
    "colours": {"sage": {"hex": "#8fae8b", "lead_days": 3}},
    "parts": {"cup": {"barrels": [{"resin": "pp", "mass_g": 40}]}},
    "products": {"cup": {"parts": {"cup": 1}, "colourways": {"sage": {"cup": ["sage"]}}}},
    "tiers": {"one": {"units": {"cup": 1}}},
    "orders": [{"tier": "one", "units": {"cup": ["sage"]}, "count": 100}],
}
"""A complete campaign; tests change its name to say how the double shall behave."""


def campaign_named(name: str, **changes: object) -> dict[str, object]:
    """SMALL_CAMPAIGN under another name, with other changes if any."""
    return SMALL_CAMPAIGN | {"name": name} | changes


def make_plan(campaign: Campaign, control: Control, before: ProvenBefore | None = None) -> RunPlan:
    """Follow the first word of the campaign's name.

    sleep N: report progress for N seconds, then a plan; stopped earlier: a plan all the same.
    infeasible, broken, stopped, fault, memory: end in that way. die: kill the process. deaf: never return.
    devour N: ask for N bytes. pots: a run plan with everything in it. Anything else: a plan at once. It proves nothing
    with what was proven `before`.
    """
    word, _, rest = campaign.name.partition(" ")
    match word:
        case "sleep":
            return _sleep(campaign, control, float(rest))
        case "infeasible":
            raise Infeasible([Problem("/pieces/felt", "felt never arrives", "give it an arrival")])
        case "broken":
            raise AuditFailed([Problem("A4", "run 3 works outside press hours")])
        case "stopped":
            raise Stopped
        case "fault":
            raise ZeroDivisionError("a fault in the planner")
        case "memory":
            raise MemoryError
        case "die":
            os.kill(os.getpid(), 9)
        case "devour":
            _devour(int(rest))
        case "pots":
            return pot_plan()
        case "deaf":
            time.sleep(3600)
    return plan_of(campaign, "proven")


def _devour(wanted: int) -> None:
    """Take memory piece by piece, and touch all of it, as a search that grows would."""
    taken = []
    piece = 16 * 2**20
    for _ in range(wanted // piece):
        taken.append(bytearray(os.urandom(1)) * piece)


def _sleep(campaign: Campaign, control: Control, seconds: float) -> RunPlan:
    begun = time.monotonic()
    while (gone := time.monotonic() - begun) < seconds:
        if control.should_stop():
            return plan_of(campaign, "stopped")
        control.report(Progress("search", gone / seconds, cost=200 - gone, bound=90 + gone, gap=0.1))
        time.sleep(0.02)
    return plan_of(campaign, "budget used")


def plan_of(campaign: Campaign, ended: Ended) -> RunPlan:
    """A run plan with one run, one batch and one dispatch, whatever the campaign says."""
    moments = [datetime(2027, 1, 11, hour, tzinfo=UTC) for hour in (6, 8, 9, 10, 16)]
    return RunPlan.model_construct(
        name=campaign.name,
        currency=campaign.currency,
        time_zone=campaign.time_zone,
        start=moments[0],
        outcome=Outcome.model_construct(
            status="optimal" if ended == "proven" else "feasible",
            ended=ended,
            aim="cost",
            total=100.0,
            lower_bound=100.0 if ended == "proven" else 90.0,
            gap=0.0 if ended == "proven" else 0.1,
            avoidable=100.0,
            avoidable_gap=0.0 if ended == "proven" else 0.1,
            bound_basis="none: a double",
            seed=1,
            rounds=1,
            model_hash="",
            versions={},
        ),
        tiers=[],
        runs=[
            Run.model_construct(
                id="1",
                press="p1",
                tool="cup",
                melts=["pp/sage"],
                shots=105,
                shot_seconds=33.3,
                changeover=None,
                start=moments[0],
                end=moments[1],
                stretches=[],
                parts=[],
                waits_for="=nothing",
                cost=10.0,
            )
        ],
        balance=[],
        materials=[],
        pieces=[],
        assembly=[],
        batches=[
            PackBatch.model_construct(
                id="b1",
                tier="one",
                region="world",
                contents={"cup": {"sage": 1}},
                pieces={},
                parcels=100,
                lines=[BatchLine(line=0, count=100)],
                start=moments[2],
                end=moments[3],
                person_minutes=300.0,
                dispatch="d1",
            )
        ],
        dispatches=[Dispatch.model_construct(id="d1", at=moments[4], parcels=100, batches=["b1"])],
        costs=[],
        purge_kg=0.0,
        cautions=[],
        audit=None,
    )


if __name__ == "__main__":
    from worker.start import main

    main(make_plan)
