"""What the engine promises besides good plans: the same again, stops, proof, money that the auditor agrees with."""

import time
from statistics import median

from benchmarks.generator import sized, small
from benchmarks.stopwatch import Stopwatch
from planner.control import Unhurried
from planner.planning.verdict import audited
from planner.planning.written import written
from planner.schedule.encode import compile_campaign
from planner.schedule.infeasible import NoPlan
from planner.schedule.search import Budget, search


def repeated(size: str, seed: int, rounds: int, times: int) -> int:
    """How many of so many searches with one seed and as many rounds gave the first one's plan, itself included."""
    inst, _ = compile_campaign(sized(size, seed))
    plans = []
    for _ in range(times):
        found = search(inst, Budget(rounds, seed, 0.0), Unhurried())
        plans.append((found.objective, found.bound, str(found.solution.lots()), found.solution.order.tobytes()))
    return sum(plan == plans[0] for plan in plans)


def stop_latencies(size: str, seed: int, moments: list[float]) -> list[float]:
    """Seconds from the wish to stop, uttered at each of these moments of a search, to the plan."""
    inst, _ = compile_campaign(sized(size, seed))
    found = []
    for moment in moments:
        watch = Stopwatch(1000.0, stop_after=moment)
        search(inst, Budget(None, seed, 0.0), watch)
        found.append(max(0.0, watch.elapsed() - moment))
    return found


def proofs(size: str, seeds: range, seconds: float) -> str:
    """Of so many campaigns: proven ones, seconds to the proof, and whether the search had the optimum before it."""
    took: list[float] = []
    had = 0
    for seed in seeds:
        inst, _ = compile_campaign(sized(size, seed))
        watch = Stopwatch(seconds)
        found = search(inst, Budget(None, seed, 0.0), watch)
        if found.ended != "proven":
            continue
        took.append(watch.elapsed())
        before = [p.cost for _, p in watch.seen if p.phase in ("first plan", "search") and p.cost is not None]
        had += min(before) <= found.cost + 0.005
    if not took:
        return f"{size}: none of {len(seeds)} proven in {seconds:g} s"
    return (
        f"{size}: {len(took)} of {len(seeds)} proven in {seconds:g} s, {median(took):.2f} s median, {max(took):.2f} s "
        f"worst; the search had the optimum before the proof on {had} of {len(took)}"
    )


def agreement(campaigns: int, rounds: int) -> str:
    """The evaluator's cost against the total of the written plan, which the auditor adds up anew. Raises AuditFailed
    where a plan does not pass."""
    compared, worst = 0, 0.0
    for seed in range(10 * campaigns):
        if compared == campaigns:
            break
        campaign = small(seed)
        inst, names = compile_campaign(campaign)
        try:
            found = search(inst, Budget(rounds, 1, 0.0), Unhurried())
            plan = audited(campaign, written(inst, names, found))
        except NoPlan:
            continue
        compared += 1
        worst = max(worst, abs(plan.outcome.total - found.cost) / plan.outcome.total)
    return f"evaluator and audited total: {compared} random campaigns, largest difference {worst:.4%}"


def told_latency(size: str, seed: int, seconds: float, times: int = 5) -> str:
    """Stops spread over the first seconds of a search."""
    begun = time.monotonic()
    latencies = stop_latencies(size, seed, [seconds * (n + 1) / times for n in range(times)])
    return (
        f"{size}: {times} stops within {seconds:g} s, {1000 * median(latencies):.0f} ms median, "
        f"{1000 * max(latencies):.0f} ms worst ({time.monotonic() - begun:.0f} s in all)"
    )
