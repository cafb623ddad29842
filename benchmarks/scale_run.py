"""One campaign of a size, planned once, in a process of its own: what was known when, and the most memory held.

    python -m benchmarks.scale_run SIZE SEED SECONDS [MARKS]

Prints one JSON object. `schedule_scale` runs it once for each size and seed, so that memory is that of one campaign.
"""

import json
import resource
import subprocess
import sys
import time
from typing import Any

from benchmarks.generator import sized
from benchmarks.rule_of_thumb import measured_rule
from benchmarks.stopwatch import Stopwatch
from planner.schedule.bounds.avoidable import avoidable_gap
from planner.schedule.bounds.work import production_cost
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.warm import warm

NEAR = 0.05
"""The avoidable gap whose seconds are told."""


def in_a_process(size: str, seed: int, seconds: float, marks: list[float]) -> dict[str, Any]:
    """`one_run` in a fresh process."""
    command = [sys.executable, "-m", "benchmarks.scale_run", size, str(seed), str(seconds), ",".join(map(str, marks))]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def one_run(size: str, seed: int, seconds: float, marks: list[float]) -> dict[str, Any]:
    """Figures of one search of so many seconds. Money in the campaign's currency, memory in MiB.

    least: fixed cost and the press hours of all shots where they cost least, which no order of work can save.
    """
    warm()
    begun = time.monotonic()
    inst, _ = compile_campaign(sized(size, seed))
    compiled = time.monotonic() - begun
    rule = measured_rule(inst)
    least = inst.fixed_cost + production_cost(inst)
    watch = Stopwatch(seconds)
    found = search(inst, Budget(None, seed, 0.0), watch)
    ended = watch.elapsed()
    at: dict[str, dict[str, float | None]] = {}
    for mark in marks:
        known = watch.known_at(mark)
        cost, bound = (known.cost, known.bound) if known else (None, None)
        if ended <= mark:
            cost, bound = found.cost, found.bound
        at[f"{mark:g}"] = {"cost": cost, "bound": bound} | _ratios(cost, bound, rule, least, inst.fixed_cost)
    near = [second for second, p in watch.seen if p.gap is not None and p.gap <= NEAR]
    return {
        "size": size,
        "seed": seed,
        "runs": int(inst.run_tool.size),
        "lots": int(inst.lot_run.size),
        "batches": int(inst.batch_work.size),
        "compile s": compiled,
        "first plan s": watch.seen[0][0],
        "at": at,
        "s to 5 %": near[0] if near else None,
        "ended": found.ended,
        "ended s": ended,
        "basis": found.bound_basis,
        "MiB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }


def _ratios(
    cost: float | None, bound: float | None, rule: float | None, least: float, fixed: float
) -> dict[str, float | None]:
    if cost is None:
        return dict.fromkeys(("avoidable gap", "to rule", "avoidable to rule"))
    return {
        "avoidable gap": None if bound is None else avoidable_gap(cost, bound, fixed),
        "to rule": None if rule is None else cost / rule,
        "avoidable to rule": None if rule is None or rule <= least else (cost - least) / (rule - least),
    }


if __name__ == "__main__":
    asked = [float(mark) for mark in sys.argv[4].split(",")] if len(sys.argv) > 4 else [10.0, 60.0, 300.0]
    print(json.dumps(one_run(sys.argv[1], int(sys.argv[2]), float(sys.argv[3]), asked)))
