"""Plans for what may come against the plan of a world in which all goes as likely, on fresh scenarios.

    python -m benchmarks.uncertain [sizes: demo,S,M,L] [seconds] [seeds] [fresh scenarios] [searched in hindsight]
        [first seed]

Same seconds for all plans: processor seconds of one core, so that another job on the machine changes nothing. Mean cost
(and the chance that every promise is kept) of (a) the certain world's plan kept in its order; (b) a plan made to be
kept in its order (`when_late: as planned`); (c) the plan under its policy, and in brackets kept in its order though it
was not made for that; (d) plans made in hindsight, each sought for a twentieth of the seconds, two at least, and by how
much they lie above the bounds of those scenarios; (e) the bound on average and its lower end, 95 % sure. (d) is on its
own scenarios: beside it stands (c) on the same ones. Last, what (a) and (c) cost if all goes well. Campaigns that say
nothing of what is unsure get the common case. `demo-trial`, `S-trial`: every trial has its day, the one from which the
tool is to be ready, and fails once at most; (c) then goes by the plan's branches, and beside it stands what they save.
"""

import json
import sys
import time
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from api.demo import DEMO
from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.campaign.common_case import common_case
from planner.campaign.planning import Policy
from planner.control import Progress
from planner.expected.bound import bound_in, mean_bound
from planner.expected.in_scenario import scenario_instance
from planner.expected.judged import Candidate, Judged, judge
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.planning.make import make_plan
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.readiness import ready_days
from planner.reading import read
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search
from planner.schedule.warm import warm
from planner.settled.as_read import as_read

FRESH_SEED = 20_261_129
"""Of scenarios that no search draws."""


class Seconds:
    """A budget of processor time on one core; notes when the first plan came."""

    def __init__(self, seconds: float) -> None:
        self.begun = time.process_time()
        self.end = self.begun + seconds
        self.first: float | None = None

    def should_stop(self) -> bool:
        return False

    def seconds_left(self) -> float | None:
        return max(0.0, self.end - time.process_time())

    def cores(self) -> int:
        return 1

    def report(self, progress: Progress) -> None:
        if self.first is None and progress.cost is not None:
            self.first = time.process_time() - self.begun


@dataclass(frozen=True)
class Compared:
    """One campaign's line. Money; chances are shares."""

    certain: Judged
    letter: Judged
    ours: Judged
    ours_kept: float
    """Mean of the plan kept in its order."""
    hindsight: float
    ours_there: float
    bounds_there: list[float]
    hindsights: list[float]
    bound: float
    bound_low: float
    first: float
    worth: float
    """Of the branches, as the plan states it."""


def campaign_of(name: str, seed: int) -> Campaign:
    """The demo, or a generated campaign with the common case written into it."""
    size, _, trial = name.partition("-")
    if size == "demo":
        campaign = read(json.loads(DEMO.read_text(encoding="utf-8")))
    else:
        campaign = sized(size, seed)
        campaign = campaign.model_copy(update={"uncertainty": common_case(campaign)})
    return with_days(campaign) if trial else campaign


def with_days(campaign: Campaign) -> Campaign:
    """Every trial on the day from which its tool is to be ready, failing once at most."""
    unsure, ready = campaign.uncertainty, ready_days(campaign)
    assert unsure is not None
    tools = {}
    for name, said in unsure.tools.items():
        at, trial = ready[name], said.first_trial
        if trial is not None and at is not None:
            day = at.date() if isinstance(at, datetime) else at
            said = said.model_copy(
                update={"first_trial": trial.model_copy(update={"on": day, "most_failures": 1}), "ready_days": None}
            )
        tools[name] = said
    return campaign.model_copy(update={"uncertainty": unsure.model_copy(update={"tools": tools})})


def planned(
    campaign: Campaign, aim: str, seconds: float, seed: int, when_late: Policy | None = None
) -> tuple[RunPlan, float]:
    """A plan towards an aim within so many seconds, and when its first plan came."""
    control = Seconds(seconds)
    told = {"aim": aim, "seed": seed, "seconds": seconds, "when_late": when_late}
    planning = campaign.planning.model_copy(update=told)
    plan = make_plan(campaign.model_copy(update={"planning": planning}), control)
    return plan, control.first or 0.0


def compared(campaign: Campaign, seconds: float, seed: int, fresh: int, searched: int) -> Compared:
    """Plan both ways and follow both plans through fresh scenarios."""
    inst, names = compile_campaign(campaign)
    drawn = draw(campaign, fresh, FRESH_SEED + seed)
    scenarios = written(inst, names, drawn)
    certain, _ = planned(campaign, "cost if all goes well", seconds, seed)
    plan, first = planned(campaign, "cost", seconds, seed)
    kept, _ = planned(campaign, "cost", seconds, seed, "as planned")
    assert plan.outcome.expected is not None

    def candidate(made: RunPlan, policy: Policy) -> Candidate:
        return Candidate(*followed(inst, names, order_of(made)), policy)

    ours = candidate(plan, plan.outcome.expected.policy)
    there, bounds = _hindsight(inst, names, ours, scenarios.some(0, searched), seconds)
    bound = mean_bound(ours.inst, ours.solution, scenarios, lambda _: True)
    branched = as_read(inst, names, plan)[2]
    judged = judge(names, replace(ours, branched=branched), scenarios, 1, drawn.turned)
    assert bound is not None
    return Compared(
        judge(names, candidate(certain, "as planned"), scenarios, 1),
        judge(
            names,
            replace(candidate(kept, "as planned"), branched=as_read(inst, names, kept)[2]),
            scenarios,
            1,
            drawn.turned,
        ),
        judged,
        judge(names, candidate(plan, "as planned"), scenarios, 1).mean,
        float(np.mean(there)),
        float(judged.cost[:searched].mean()),
        bounds,
        there,
        bound.mean,
        bound.low,
        first,
        plan.outcome.expected.branches.worth if plan.outcome.expected.branches else 0.0,
    )


def _hindsight(
    inst: Instance, names: Names, ours: Candidate, scenarios: Scenarios, seconds: float
) -> tuple[list[float], list[float]]:
    """In each scenario the cost of a plan made for it, from ours on, and the bound there."""
    found, bounds = [], []
    for k in range(scenarios.number):
        there = scenario_instance(ours.inst, ours.solution, scenarios, k)
        extra = float(scenarios.extra_cost[k])
        best = search(there, Budget(None, 1, 0.0), Seconds(max(2.0, seconds / 20)), ours.solution)
        found.append(best.cost + extra)
        bounds.append(bound_in(ours.inst, ours.solution, scenarios, k))
    return found, bounds


def main() -> None:
    given = [*sys.argv[1:], *("demo,S,M,L", "60", "10", "2000", "16", "1")[len(sys.argv) - 1 :]]
    sizes, seconds, seeds = given[0].split(","), float(given[1]), int(given[2])
    fresh, searched, first = int(given[3]), int(given[4]), int(given[5])
    warm()
    for size in sizes:
        lines: list[Compared] = []
        for seed in range(first, first + seeds):
            line = compared(campaign_of(size, seed), seconds, seed, fresh, searched)
            lines.append(line)
            print(f"{size} seed {seed}: {told(line)}", flush=True)
        ratios = np.array([[_vs_hindsight(line), _halfway(line), _dearer(line)] for line in lines])
        worst = [
            sum(told.mean > one.certain.mean + 2 * _error(told, one.certain) for one, told in pairs)
            for pairs in ([(one, one.letter) for one in lines], [(one, one.ours) for one in lines])
        ]
        print(
            f"{size} medians of {seeds}: (c) over (d) {np.median(ratios[:, 0]):+.2%}; of the way from (a) to (d) in "
            f"the same scenarios (b) goes {np.median(ratios[:, 1]):.0%}; dearer if all goes well "
            f"{np.median(ratios[:, 2]):+.2%}; worse than (a) beyond two errors: (b) {worst[0]}, (c) {worst[1]}",
            flush=True,
        )


def told(line: Compared) -> str:
    """A campaign's figures."""
    gain = line.certain.mean - line.ours.mean
    policy = line.ours.candidate.policy
    above = sum(b > h + 0.01 for b, h in zip(line.bounds_there, line.hindsights, strict=True))
    bounds = float(np.mean(line.bounds_there))
    chances = [one.chance_all or 0.0 for one in (line.certain, line.letter, line.ours)]
    return (
        f"(a) {line.certain.mean:,.0f} [{chances[0]:.1%}] (b) {line.letter.mean:,.0f} [{chances[1]:.1%}] "
        f"(c) {line.ours.mean:,.0f} [{chances[2]:.1%}] {policy} ({line.ours_kept:,.0f}), (a)-(c) {gain:,.0f} +- "
        f"{_error(line.ours, line.certain):,.0f}; (d) {line.hindsight:,.0f} where (c) is {line.ours_there:,.0f} and "
        f"bounds {bounds:,.0f} ({line.hindsight / bounds - 1:.2%} below), {above} above; "
        f"(e) {line.bound:,.0f}, low {line.bound_low:,.0f}; if all goes well {line.certain.planned:,.0f} and "
        f"{line.ours.planned:,.0f}; first plan {line.first:.2f} s; branches save {line.worth:,.0f}"
    )


def _error(one: Judged, other: Judged) -> float:
    apart = one.cost - other.cost
    return float(apart.std(ddof=1) / np.sqrt(apart.size))


def _vs_hindsight(line: Compared) -> float:
    return line.ours_there / line.hindsight - 1.0


def _halfway(line: Compared) -> float:
    number = len(line.hindsights)
    start, kept = (float(one.cost[:number].mean()) for one in (line.certain, line.letter))
    return (start - kept) / max(1e-9, start - line.hindsight)


def _dearer(line: Compared) -> float:
    return line.ours.planned / line.certain.planned - 1.0


if __name__ == "__main__":
    main()
