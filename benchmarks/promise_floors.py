"""Simulated floors of a 200-run, 800-group plan: seconds, and the ratio to the same loop in plain Python.

    python -m benchmarks.promise_floors [floors] [size] [threads] [floors in plain Python]

The plain loop is the same code with compilation turned off (NUMBA_DISABLE_JIT), in a process of its own.
"""

import os
import subprocess
import sys
import time

from benchmarks.generator import sized
from planner.promise.replications import simulate
from planner.promise.scenarios import draw
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.timing import timing_for


def seconds(size: str, floors: int, threads: int) -> tuple[float, float]:
    """Seconds on the wall and of the processor to draw the luck and follow the plan so often (compiled code warm)."""
    campaign = sized(size, 1)
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    began, worked = time.perf_counter(), time.process_time()
    simulate(inst, names, solution, draw(campaign, floors, 1), threads)
    return time.perf_counter() - began, time.process_time() - worked


def plain_seconds(size: str, floors: int) -> float:
    """Processor seconds a floor in plain Python, by its own process."""
    here = [sys.executable, "-m", "benchmarks.promise_floors", "--plain", size, str(floors)]
    told = subprocess.run(here, env=os.environ | {"NUMBA_DISABLE_JIT": "1"}, capture_output=True, text=True, check=True)
    return float(told.stdout.split()[-1])


def main() -> None:
    if sys.argv[1:2] == ["--plain"]:
        size, floors = sys.argv[2], int(sys.argv[3])
        print(seconds(size, floors, 1)[1] / floors)
        return
    given = [*sys.argv[1:], *("10000", "L", "2", "3")[len(sys.argv) - 1 :]]
    floors, size, threads, plain = int(given[0]), given[1], int(given[2]), int(given[3])
    wall, processor = seconds(size, floors, threads)
    each = plain_seconds(size, plain)
    print(f"{floors} floors of size {size}: {wall:.1f} s on {threads} threads, {processor:.1f} s of processor")
    print(
        f"plain Python: {each * 1000:.0f} ms of processor a floor ({plain} floors), compiled "
        f"{processor / floors * 1000:.2f} ms: ratio {each * floors / processor:.0f}"
    )


if __name__ == "__main__":
    main()
