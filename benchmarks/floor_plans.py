"""Random campaigns with hours of people, shared dryers, lights out and melts that must not stand: planned, looked at.

    python -m benchmarks.floor_plans [number] [first seed] [small]

Each is planned in one round. small: with so little in each that every order of work can be gone through. What is looked
at, beside the plan's own audit: whether anything that needs hands happens when nobody is there, by a loop of its own
over the two documents; whether the bound lies below the cost; and whether small ones, where every order of work can be
tried, cost what the best of them costs.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from itertools import permutations, product
from math import factorial, inf
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import numpy as np

from benchmarks.floor_campaigns import floor_document
from planner.campaign.unknown_melts import UNKNOWN
from planner.control import Unhurried
from planner.errors import CampaignProblems, PlannerError
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.planning.verdict import SET_ASIDE
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.solution import Solution, allowed, objective_of
from planner.schedule.timing import timing_for

Json = dict[str, Any]
MOST_ORDERS = 300
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


class Looked(NamedTuple):
    """What came of one campaign. outcome: planned, refused (its document), infeasible, none found. wrong: what is."""

    outcome: str
    why: str
    wrong: list[str]
    plan: RunPlan | None
    by_force: bool


def floor_data(seed: int, small: bool = False) -> Json:
    """The campaign of a seed, to be planned in one round."""
    data = floor_document(seed, shared=0.4, dryers=True, small=small)
    data["planning"] = {"rounds": 1, "seed": 1}
    return data


def look(seed: int, small: bool = False) -> Looked:
    """Plan one campaign and look at the plan."""
    data = floor_data(seed, small)
    try:
        campaign = read(data)
    except CampaignProblems as refused:
        return Looked("refused", f"{refused.problems[0].pointer}: {refused.problems[0].message}", [], None, False)
    try:
        plan = make_plan(campaign, Unhurried())
    except PlannerError as none:
        return Looked(type(none).__name__, str(none), [], None, False)
    wrong = [] if plan.audit is not None and plan.audit.holds else ["the audit does not hold"]
    if plan.outcome.lower_bound > plan.outcome.total + 1e-6:
        wrong.append("the bound lies above the cost")
    wrong += unattended(data, plan)
    inst, _ = compile_campaign(campaign)
    best = best_order(inst)
    if best is not None:
        cost = best - inst.aim_mean * 1e9
        if plan.outcome.status == "optimal" and plan.outcome.total < cost:
            wrong.append("cheaper than anything that can be")
        if plan.outcome.total > best + 0.02 and plan.outcome.status == "optimal":
            wrong.append(f"called the best at {plan.outcome.total:.2f}, an order costs {best:.2f}")
        if plan.outcome.lower_bound > best + 0.02:
            wrong.append(f"bound {plan.outcome.lower_bound:.2f}, an order costs {best:.2f}")
    return Looked("planned", "", wrong, plan, best is not None)


def unattended(data: Json, plan: RunPlan) -> Iterator[str]:
    """Whatever needs hands and happens, wholly or in part, when nobody is there; read from the documents alone."""
    hours = data["floor"].get("attended")
    if hours is None:
        return
    zone, start = ZoneInfo(data["time_zone"]), datetime.fromisoformat(data["start"])
    spans = list(_spans(hours["hours"], data.get("closed_days", []), start.date(), plan, zone))
    for what, begin, end in _with_hands(plan):
        if begin.astimezone(zone).replace(tzinfo=None) < start:
            continue  # before the campaign nothing is known but its weekly hours
        if not any(since <= begin and end <= until for since, until in spans):
            yield f"{what} {begin:%a %Y-%m-%d %H:%M} to {end:%H:%M} when nobody is there"


def _spans(
    week: dict[str, str], closed: list[str], first: date, plan: RunPlan, zone: ZoneInfo
) -> Iterator[tuple[datetime, datetime]]:
    last = max([run.end for run in plan.runs] + [load.used_until for load in plan.drying], default=None)
    day = first - timedelta(days=1)
    while last is not None and day <= last.astimezone(zone).date():
        for days, text in week.items():
            one, _, other = days.partition("-")
            within = DAYS.index(one) <= day.weekday() <= DAYS.index(other or one)
            if within and day.isoformat() not in closed:
                for span in text.split(","):
                    since, until = (_wall(day, moment, zone) for moment in span.split()[0].split("-"))
                    yield since, until
        day += timedelta(days=1)


def _wall(day: date, moment: str, zone: ZoneInfo) -> datetime:
    hours, minutes = (int(part) for part in moment.split(":"))
    return (datetime(day.year, day.month, day.day) + timedelta(hours=hours, minutes=minutes)).replace(tzinfo=zone)


def _with_hands(plan: RunPlan) -> Iterator[tuple[str, datetime, datetime]]:
    for run in plan.runs:
        if run.changeover is not None:
            yield f"{run.id}: changeover", run.changeover.start, run.changeover.end
        for stretch in run.stretches:
            if stretch.restart_seconds:
                yield f"{run.id}: restart", stretch.start, stretch.start + timedelta(seconds=stretch.restart_seconds)
            if stretch.closing is not None:
                yield f"{run.id}: closing", stretch.end - timedelta(seconds=stretch.closing.seconds), stretch.end
    for load in plan.drying:
        yield f"dryer {load.dryer}: loading", load.load_at, load.load_at
        if load.cleaned_from is not None and load.cleaned_until is not None:
            yield f"dryer {load.dryer}: cleaning", load.cleaned_from, load.cleaned_until


def best_order(inst: Instance) -> float | None:
    """The least objective of every order of all lots and batches; None where there are too many, or none is one."""
    presses, lots = inst.pinned.size, range(int(inst.pinned.sum()), inst.lot_run.size)
    batches = inst.batch_work.size
    if inst.lot_run.size > 4 or factorial(len(lots)) * presses ** len(lots) * factorial(batches) > MOST_ORDERS:
        return None
    arrays, timing, best = packed_instance(inst), timing_for(inst), inf
    for places in product(range(presses), repeat=len(lots)):
        for order in permutations(lots):
            solution = Solution.empty(inst)
            pinned = 0
            for p in range(presses):
                for _ in range(int(inst.pinned[p])):
                    solution.append(p, pinned)
                    pinned += 1
            for lot in order:
                solution.append(places[lot - lots.start], lot)
            if not allowed(inst, solution):
                continue
            for served in permutations(range(batches)):
                solution.order = np.array(served, dtype=np.int64)
                best = min(best, objective_of(arrays, solution, timing))
    return best if best < inf else None


def main(number: int, first: int, small: bool) -> None:
    """Look at so many campaigns that their checks accept, and print what came of them."""
    outcomes: Counter[str] = Counter()
    features: Counter[str] = Counter()
    refused: Counter[str] = Counter()
    seed = first - 1
    while outcomes.total() - outcomes["refused"] < number:
        seed += 1
        found = look(seed, small)
        outcomes[found.outcome] += 1
        if found.outcome == "refused":
            refused[found.why.split("`")[0][:60]] += 1
        elif found.plan is None:
            print(f"seed {seed}: {found.outcome}: {found.why}", flush=True)
        for wrong in found.wrong:
            print(f"seed {seed}: WRONG: {wrong}", flush=True)
        features["wrong"] += bool(found.wrong)
        features["by force"] += found.by_force
        if found.plan is not None:
            plan = found.plan
            data = floor_data(seed, small)
            features["hours of people"] += "attended" in data["floor"]
            features["lights out"] += any("lights_out" in press for press in data["presses"].values())
            features["others use presses"] += any("others" in press for press in data["presses"].values())
            features["dried"] += bool(plan.drying)
            features["waits for a dryer"] += any(run.waits_for == "its dryer" for run in plan.runs)
            features["dryer cleaned"] += any(load.cleaned_from is not None for load in plan.drying)
            features["unknown melts"] += any(
                purge.from_ == UNKNOWN for run in plan.runs if run.changeover for purge in run.changeover.purges
            )
            features["set aside"] += any(one.about == SET_ASIDE for one in plan.cautions)
            features["closings"] += any(stretch.closing for run in plan.runs for stretch in run.stretches)
        if seed % 25 == 0:
            print(f"seed {seed}: {dict(outcomes)} {dict(features)}", flush=True)
    print(f"{dict(outcomes)}\n{dict(features)}\nrefused: {dict(refused)}")


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:] if word.isdecimal()]
    main(numbers[0] if numbers else 500, numbers[1] if len(numbers) > 1 else 0, "small" in sys.argv[1:])
