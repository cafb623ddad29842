"""What a plan costs in core-seconds, by size: campaigns of the scale series through the very call a worker makes.

python benchmarks/plan_costs.py [--sizes XS S M L] [--seconds 20] [--seed 1] [--price 0.05]
One core (as in docker-compose.yml), a budget of --seconds. Beside the budget: reading, first plans, writing, auditing.
--price: of a core-hour, assumed. What is proven ends before its budget. A tiny one is planned first: it compiles.
"""

import argparse
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.planning.make import make_plan
from worker.solving.control import WatchedControl
from worker.warming import TINY


def measured(document: str, seconds: float) -> tuple[float, float, str]:
    """Wall seconds, core-seconds and how it ended, from the document's text to the plan's."""
    wall, cores = time.perf_counter(), time.process_time()
    plan = make_plan(Campaign.model_validate_json(document), WatchedControl(seconds, cores=1))
    plan.model_dump_json(by_alias=True)
    return time.perf_counter() - wall, time.process_time() - cores, plan.outcome.ended


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--sizes", nargs="*", default=["XS", "S", "M", "L"])
    options.add_argument("--seconds", type=float, default=20.0)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--price", type=float, default=0.05)
    given = options.parse_args()
    make_plan(Campaign.model_validate(TINY), WatchedControl(1.0))
    print(f"{'size':<6}{'wall s':>8}{'beside s':>10}{'core s':>8}{'plans/core-h':>14}{'cost a plan':>13}  ended")
    for size in given.sizes:
        document = sized(size, given.seed).model_dump_json(by_alias=True)
        wall, cores, ended = measured(document, given.seconds)
        beside = f"{wall - given.seconds:.1f}" if ended == "budget used" else "-"
        price = given.price * cores / 3600
        print(f"{size:<6}{wall:>8.1f}{beside:>10}{cores:>8.1f}{3600 / cores:>14.0f}{price:>13.5f}  {ended}", flush=True)


if __name__ == "__main__":
    main()
