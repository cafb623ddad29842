"""How much processor time plans of one quality take here and at another revision, in pairs.

    python -m benchmarks.same_quality --against REVISION [--sizes S:1,M:1,L:1] [--budgets 4,8,16] [--seeds 3]
    python -m benchmarks.same_quality --of S:1 --seed 1 --budgets 4,8,16

Each campaign is planned whole (read, searched, written, audited) with each budget of processor seconds, on one core,
from each seed, on both sides in turns; the revision's sources are laid out in a folder and run a copy of this file.
What plans cost is not compared across: the rules of the two sides differ. A plan's quality is how much it costs beyond
the best that its own side found, also with four times the largest budget. Printed: mean quality by budget on both
sides, and the processor time here over there for the quality that the middle budget gives there, read off between the
budgets. Below 1.1: no more than a tenth dearer.
"""

import argparse
import json
import math
import os
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import fmean, median
from typing import NamedTuple

import planner
from benchmarks.generator import sized

ROOT = Path(__file__).parent.parent
LONGER = 4
"""Times the largest budget from the first seed: the best plan that is known of a side."""


class Reached(NamedTuple):
    """One plan. budget, took: processor seconds allowed for the search, and of all of it. cost: money."""

    budget: float
    took: float
    cost: float


def reached(size: str, budgets: list[float], seed: int) -> list[Reached]:
    """Plan a campaign, SIZE:SEED, with each budget of processor seconds; a small one first, so that all is loaded."""
    name, _, number = size.partition(":")
    campaign = sized(name, int(number or 1))
    found = []
    for budget in [0.2, *budgets]:
        update = {"seconds": budget, "rounds": None, "seed": seed, "gap": 0.0}
        asked = campaign.model_copy(update={"planning": campaign.planning.model_copy(update=update)})
        begun = time.process_time()
        plan = planner.solve(asked, clock=time.process_time, cores=1)
        found.append(Reached(budget, time.process_time() - begun, plan.outcome.total))
    return found[1:]


def asked_of(folder: Path, size: str, budgets: list[float], seed: int) -> list[Reached]:
    """`reached` by the sources in a folder, in a process of its own."""
    command = [sys.executable, "-m", "benchmarks.same_quality", "--of", size, "--seed", str(seed)]
    command += ["--budgets", ",".join(f"{budget:g}" for budget in budgets)]
    env = {k: v for k, v in os.environ.items() if folder == ROOT or k != "NUMBA_CACHE_DIR"} | {
        "PYTHONPATH": str(folder)
    }
    done = subprocess.run(command, cwd=folder, env=env, stdout=subprocess.PIPE, text=True, check=True)
    return [Reached(*one) for one in json.loads(done.stdout)]


def qualities(plans: list[list[Reached]], budgets: list[float]) -> list[tuple[float, float]]:
    """By budget the mean processor seconds taken and the mean share by which plans cost beyond the best one known."""
    best = min(one.cost for of_seed in plans for one in of_seed)
    found = []
    for budget in budgets:
        alike = [one for of_seed in plans for one in of_seed if one.budget == budget]
        found.append((fmean(one.took for one in alike), fmean(one.cost / best - 1 for one in alike)))
    return found


def seconds_for(quality: float, curve: list[tuple[float, float]]) -> float:
    """Processor seconds after which a side has that quality, by the line through the logarithm of its seconds.

    Beyond the budgets the nearest end's line goes on; a side that gains nothing with more time gives infinity or 0.
    """
    falling = [curve[0]]
    for took, beyond in curve[1:]:
        falling.append((took, min(beyond, falling[-1][1])))  # noise aside, more time is not worse
    n = next((n for n in range(1, len(falling)) if falling[n][1] <= quality), len(falling) - 1)
    (a, high), (b, low) = falling[n - 1], falling[n]
    if high == low:
        return a if quality >= low else math.inf
    return math.exp(math.log(a) + (math.log(b) - math.log(a)) * (high - quality) / (high - low))


def compared(size: str, folder: Path, budgets: list[float], seeds: int) -> float:
    """Print both sides' qualities for one campaign; the ratio of processor time, here over there."""
    sides: dict[Path, list[list[Reached]]] = {ROOT: [], folder: []}
    for seed in range(1, seeds + 1):
        asked = [*budgets, LONGER * budgets[-1]] if seed == 1 else budgets
        for side in (ROOT, folder) if seed % 2 else (folder, ROOT):
            sides[side].append(asked_of(side, size, asked, seed))
    here, there = (qualities(sides[side], budgets) for side in (ROOT, folder))
    for budget, (took, beyond), (their_took, theirs) in zip(budgets, here, there, strict=True):
        print(
            f"{size}, {budget:g} s: {beyond:.3%} beyond the best in {took:.1f} s here, {theirs:.3%} in "
            f"{their_took:.1f} s there",
            flush=True,
        )
    quality = there[len(there) // 2][1]
    ratio = seconds_for(quality, here) / seconds_for(quality, there)
    print(f"{size}: {ratio:.2f} of the processor time there for {quality:.3%} beyond the best", flush=True)
    return ratio


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--against")
    parser.add_argument("--sizes", default="S:1,M:1,L:1")
    parser.add_argument("--budgets", default="4,8,16")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--of")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    budgets = [float(budget) for budget in asked.budgets.split(",")]
    if asked.of is not None:
        print(json.dumps(reached(asked.of, budgets, asked.seed)))
        return
    from benchmarks.same_plans import there  # a revision need not have it as it is here

    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        there(asked.against, folder)
        shutil.copy(__file__, folder / "benchmarks")
        ratios = [compared(size, folder, budgets, asked.seeds) for size in asked.sizes.split(",")]
    print(f"{median(ratios):.2f}, the median of {len(ratios)}")


if __name__ == "__main__":
    main()
