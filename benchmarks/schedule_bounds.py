"""What each lower bound gains, one after the other: share of a plan's cost that no plan can undercut, and seconds.

    python -m benchmarks.schedule_bounds [--sizes XS,S,M] [--seeds 3] [--rounds 4] [--effort 3]

The plan is that of a search by rounds; seconds are wall-clock on this machine, each stage's own.
"""

import argparse
import time

from benchmarks.generator import sized
from planner.control import Unhurried
from planner.schedule.bounds.lower_bound import Solvers, thought
from planner.schedule.bounds.press_hours import LowerBound, beforehand
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.warm import warm


def stages(size: str, seed: int, rounds: int, effort: float) -> list[tuple[str, float, float]]:
    """(basis, bound as a share of the plan's cost, seconds) of each stage that raised the bound."""
    inst, _ = compile_campaign(sized(size, seed))
    cost = search(inst, Budget(rounds, seed, 0.0, bound_effort=0), Unhurried()).cost
    known: LowerBound = beforehand(inst)
    found = [(known.basis, known.total / cost, 0.0)]
    begun = time.monotonic()
    for better, _ in thought(inst, known, effort, Solvers()):
        if better.total > known.total:
            found.append((better.basis, better.total / cost, time.monotonic() - begun))
        known, begun = better, time.monotonic()
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", default="XS,S,M")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--rounds", type=int, default=4)
    parser.add_argument("--effort", type=float, default=3.0)
    asked = parser.parse_args()
    warm()
    for size in asked.sizes.split(","):
        for seed in range(1, asked.seeds + 1):
            for basis, share, seconds in stages(size, seed, asked.rounds, asked.effort):
                print(f"{size} seed {seed}: {share:.2%} of the cost, {seconds:.2f} s: {basis}", flush=True)


if __name__ == "__main__":
    main()
