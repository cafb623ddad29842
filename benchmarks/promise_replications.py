"""Scenarios of a 200-run, 800-group plan: seconds, and ratios to a loop of one call each and to plain Python.

    python -m benchmarks.promise_replications [scenarios] [size] [threads] [scenarios in plain Python]

The loop of one call each writes a scenario's arrays with NumPy and has each timed by the compiled evaluator
(`tests/planner/promise/plain_loop.py`). Plain Python is the loop of this version with compilation turned off
(NUMBA_DISABLE_JIT), in a process of its own.
"""

import os
import subprocess
import sys
import time

from benchmarks.generator import sized
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import replicated
from planner.schedule.instance import packed_instance
from planner.schedule.timing import timing_for
from tests.planner.promise.followed import replications_of
from tests.planner.promise.plain_loop import plain_replications


def seconds(size: str, number: int, threads: int) -> tuple[float, float]:
    """Seconds on the wall and of the processor to draw scenarios and follow the plan so often (compiled code warm)."""
    campaign = sized(size, 1)
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    replications_of(inst, names, solution, draw(campaign, 1, 1))
    began, worked = time.perf_counter(), time.process_time()
    replications_of(inst, names, solution, draw(campaign, number, 1), threads=threads)
    return time.perf_counter() - began, time.process_time() - worked


def called_one_by_one(size: str, number: int) -> tuple[float, float]:
    """Processor seconds a scenario: by a call each, and by the compiled loop."""
    campaign = sized(size, 1)
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    scenarios = written(inst, names, draw(campaign, number, 1))
    replicated(inst, solution, scenarios.some(0, 1))
    began = time.process_time()
    plain_replications(inst, solution, scenarios, to_the_letter=True)
    between = time.process_time()
    replicated(inst, solution, scenarios, to_the_letter=True)
    return (between - began) / number, (time.process_time() - between) / number


def plain_seconds(size: str, number: int) -> float:
    """Processor seconds a scenario in plain Python, by its own process."""
    here = [sys.executable, "-m", "benchmarks.promise_replications", "--plain", size, str(number)]
    told = subprocess.run(here, env=os.environ | {"NUMBA_DISABLE_JIT": "1"}, capture_output=True, text=True, check=True)
    return float(told.stdout.split()[-1])


def main() -> None:
    if sys.argv[1:2] == ["--plain"]:
        size, number = sys.argv[2], int(sys.argv[3])
        print(seconds(size, number, 1)[1] / number)
        return
    given = [*sys.argv[1:], *("10000", "L", "2", "3")[len(sys.argv) - 1 :]]
    number, size, threads, plain = int(given[0]), given[1], int(given[2]), int(given[3])
    wall, processor = seconds(size, number, threads)
    print(f"{number} scenarios of size {size}: {wall:.1f} s on {threads} threads, {processor:.1f} s of processor")
    called, looped = called_one_by_one(size, min(number, 200))
    print(
        f"a call each {called * 1e6:.0f} us of processor, the compiled loop {looped * 1e6:.0f} us: "
        f"ratio {called / looped:.1f}"
    )
    if plain:
        each = plain_seconds(size, plain)
        print(
            f"plain Python: {each * 1000:.0f} ms of processor a scenario ({plain} of them), compiled "
            f"{processor / number * 1000:.2f} ms: ratio {each * number / processor:.0f}"
        )


if __name__ == "__main__":
    main()
