"""How much processor time plans of one quality take here and at another revision, in pairs.

    python -m benchmarks.same_quality --against REVISION [--sizes S:1,S:2,S:3,S:4,M:1,L:1] [--budgets 4,8,16]
                                      [--seeds 3] [--draws 1000]
    python -m benchmarks.same_quality --of S:1 --seed 1 --budgets 4,8,16

Each campaign is planned whole (read, searched, written, audited) with each budget of processor seconds, on one core,
from each seed, on both sides in turns; the revision's sources are laid out in a folder and run a copy of this file.
What plans cost is not compared across: the rules of the two sides differ. A plan's quality is how much it costs beyond
the best that its own side found for that campaign, also with four times the largest budget from the first two seeds.

Campaigns of one size are pooled: a search of 25 runs ends in one of a few optima, 0.1 to 0.5 % apart, and which one is
the seed's luck, so one campaign and a few seeds say little. Printed by size: mean quality by budget on both sides, and
the processor time here over there for the quality that the middle budget gives there, read off between the budgets,
with the range that nine in ten of --draws give in which pairs of campaign and seed are drawn anew. Below 1.1: no more
than a tenth dearer.
"""

import argparse
import json
import math
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import fmean
from typing import NamedTuple

import planner
from benchmarks.generator import sized

ROOT = Path(__file__).parent.parent
LONGER, LONGER_SEEDS = 4, 2
"""Times the largest budget, from so many seeds: the best plan that is known of a side."""

MOST_LOG = 700.0
"""Of seconds: a line that hardly falls leads beyond what a number can hold."""

SHARE = 0.9
"""Of the draws, those within the range told."""


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


Curve = list[tuple[float, float]]
"""By budget, processor seconds taken and the share by which a plan costs beyond the best one known."""


def qualities(plans: list[list[Reached]], budgets: list[float]) -> list[Curve]:
    """Of one campaign on one side, a curve a seed. plans: of each seed, longer ones at the end of some."""
    best = min(one.cost for of_seed in plans for one in of_seed)
    return [[(one.took, one.cost / best - 1) for one in of_seed if one.budget in budgets] for of_seed in plans]


def mean(curves: list[Curve]) -> Curve:
    """Means of seconds and shares by budget."""
    return [
        (fmean(took for took, _ in alike), fmean(beyond for _, beyond in alike)) for alike in zip(*curves, strict=True)
    ]


def seconds_for(quality: float, curve: Curve) -> float:
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
    return math.exp(min(MOST_LOG, math.log(a) + (math.log(b) - math.log(a)) * (high - quality) / (high - low)))


def ratio(here: list[Curve], there: list[Curve]) -> float:
    """Processor time here over there for the mean quality that the middle budget gives there."""
    theirs = mean(there)
    quality = theirs[len(theirs) // 2][1]
    return seconds_for(quality, mean(here)) / seconds_for(quality, theirs)


def spread(here: list[Curve], there: list[Curve], draws: int) -> tuple[float, float]:
    """The range of the ratio in most of so many draws of as many pairs as there are, each any of them."""
    draw = random.Random(len(here))
    ratios = []
    for _ in range(draws):
        chosen = [draw.randrange(len(here)) for _ in here]
        ratios.append(ratio([here[n] for n in chosen], [there[n] for n in chosen]))
    ratios.sort()
    left_out = int((1 - SHARE) / 2 * draws)
    return ratios[left_out], ratios[-1 - left_out]


def planned(campaign: str, sides: list[Path], budgets: list[float], seeds: int) -> list[list[Curve]]:
    """Of each side, the campaign's curves, one a seed; sides take turns, and turns in who is first."""
    found: list[list[list[Reached]]] = [[] for _ in sides]
    for seed in range(1, seeds + 1):
        asked = [*budgets, LONGER * budgets[-1]] if seed <= LONGER_SEEDS else budgets
        for n in range(len(sides)) if seed % 2 else reversed(range(len(sides))):
            found[n].append(asked_of(sides[n], campaign, asked, seed))
    return [qualities(plans, budgets) for plans in found]


def compared(size: str, campaigns: list[str], folder: Path, budgets: list[float], seeds: int, draws: int) -> None:
    """Print both sides' qualities for the campaigns of one size, each and pooled, and the ratio of processor time."""
    here, there = [], []
    for campaign in campaigns:
        ours, theirs = planned(campaign, [ROOT, folder], budgets, seeds)
        here += ours
        there += theirs
        _tell(campaign, budgets, ours, theirs)
    if len(campaigns) > 1:
        _tell(size, budgets, here, there)
    low, high = spread(here, there, draws)
    print(
        f"{size}, {len(here)} pairs: {ratio(here, there):.2f} of the processor time there for one quality "
        f"({low:.2f} to {high:.2f} in {SHARE:.0%} of {draws} draws)",
        flush=True,
    )


def _tell(name: str, budgets: list[float], ours: list[Curve], theirs: list[Curve]) -> None:
    for budget, (took, beyond), (their_took, them) in zip(budgets, mean(ours), mean(theirs), strict=True):
        print(
            f"{name}, {budget:g} s: {beyond:.3%} beyond the best in {took:.1f} s here, {them:.3%} in "
            f"{their_took:.1f} s there",
            flush=True,
        )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--against")
    parser.add_argument("--sizes", default="S:1,S:2,S:3,S:4,M:1,L:1")
    parser.add_argument("--budgets", default="4,8,16")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--draws", type=int, default=1000)
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
        campaigns = asked.sizes.split(",")
        for size in dict.fromkeys(campaign.partition(":")[0] for campaign in campaigns):
            of_size = [campaign for campaign in campaigns if campaign.partition(":")[0] == size]
            compared(size, of_size, folder, budgets, asked.seeds, asked.draws)


if __name__ == "__main__":
    main()
