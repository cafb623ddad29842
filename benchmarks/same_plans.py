"""Whether two states of the sources make the same plans from the same seeds, and how fast each of them is.

    python -m benchmarks.same_plans [--out FILE] [--number 100] [--speed S:1,M:1,L:1] [--cold]
    python -m benchmarks.same_plans --against REVISION [--number 100] [--speed S:1,M:1,L:1] [--cold] [--pairs 3]

A hundred small fixed campaigns (one barrel and two, every aim, purging with a compound, pinned runs, forbidden pairs, a
press alone), each searched for a budget of rounds: objective, order of work, how it ended. --speed: of each size and
seed, a second of processor time: moves estimated where a step takes the first, plans timed in full where it takes the
best of as many as the search draws, and plans timed from nothing. --cold: processor seconds of building the compiled
part.

--against lays a revision's sources out in a folder of their own and runs its own copy of this file there, in turns with
this one. Prints the plans that differ, and each speed here over there (cold: seconds), the median of the pairs.
"""

import argparse
import io
import json
import os
import random
import subprocess
import sys
import tarfile
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from typing import Any

from benchmarks.generator import sized, small
from benchmarks.plain_workshop import least_lateness, workshop
from planner.campaign import Campaign
from planner.campaign.purging import Compound
from planner.control import Unhurried
from planner.schedule.annealing import A_TIMING, DRAWS, ESTIMATES, TIMED
from planner.schedule.chain import Chain
from planner.schedule.construct import first_plans
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.encode import compile_campaign
from planner.schedule.infeasible import NoPlan
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.search import LOAD_A_DRAW, Budget, search
from planner.schedule.solution import objective_of
from planner.schedule.timing import LAST, timing_for
from planner.schedule.warm import warm

ROOT = Path(__file__).parent.parent
ROUNDS = (4, 1, 1, 1, 1, 2, 1, 1, 1, 1)
"""After three of them a small campaign is gone through plan by plan."""
AIMS = ("cost", "soonest", "waste", "cost")
ESTIMATED, STEPS, TIMED_ANEW = 2_000_000, 2_000, 3_000
"""Work of the chain whose speed is taken, steps that take the best of more moves, and plans timed from nothing."""

Json = dict[str, Any]


def campaigns(number: int) -> Iterator[tuple[str, Instance]]:
    """The first so many of them."""
    for n in range(number):
        if n % 10 == 9:
            yield f"one press {n}", _alone(n)
            continue
        named = sized("S" if n % 20 == 8 else "XS", n) if n % 10 == 8 else small(n)
        update: Json = {"planning": named.planning.model_copy(update={"aim": AIMS[n % len(AIMS)]})}
        if n % 3 == 0:
            update["purging"] = named.purging.model_copy(update={"compound": _compound(n)})
        yield f"{named.name}, {AIMS[n % len(AIMS)]}", compile_campaign(_with(named, update))[0]


def _with(campaign: Campaign, update: Json) -> Campaign:
    return campaign.model_copy(update=update)


def _compound(n: int) -> Compound:
    return Compound(
        price_per_kg=5, holdups=1.0, rinse_holdups=1.25, soak_minutes=2, hot_runners=n % 2 == 0, stock_kg=0.5,
        lead_days=1, bag_kg=2, use="always" if n % 2 else "cheapest",
    )  # fmt: skip


def _alone(n: int) -> Instance:
    """Twelve jobs with set-ups and due dates on one machine."""
    draw = random.Random(n)
    times = [draw.randint(5, 50) for _ in range(12)]
    setups = [[draw.randint(0, 30) for _ in times] for _ in times]
    dates = [draw.randint(10, 300) for _ in times]
    return least_lateness(workshop([times], setups=[setups], due=dates, late=[draw.randint(1, 5) for _ in times]))


def plans(number: int) -> dict[str, Json]:
    """Of each campaign, what the search ends with; floats as they are, to the last bit."""
    found: dict[str, Json] = {}
    for n, (name, inst) in enumerate(campaigns(number)):
        try:
            plan = search(inst, Budget(ROUNDS[n % len(ROUNDS)], n, 0.0, bound_effort=0), Unhurried())
        except NoPlan:
            found[name] = {"ended": "no plan"}
            continue
        order = {"lots": plan.solution.lots(), "served": plan.solution.order.tolist()}
        found[name] = {"objective": plan.objective, "ended": plan.ended, **order}
    return found


def speeds(sizes: list[str]) -> dict[str, float]:
    """Moves estimated, plans timed in full and plans timed from nothing, a processor second. sizes: as SIZE:SEED."""
    found: dict[str, float] = {}
    for size in sizes:
        name, _, seed = size.partition(":")
        inst = compile_campaign(sized(name, int(seed or 1)))[0]
        arrays, timing = packed_instance(inst), timing_for(inst)
        value, first = first_plans(inst, arrays, timing)[0]
        objective_of(arrays, first, timing)
        chain = Chain(inst, arrays, first, value, delta_tables_for(inst, float(timing.totals[LAST])), 1)
        begun = time.process_time()
        chain.anneal(ESTIMATED, 1e-4 * value, 1e-6 * value)
        took = time.process_time() - begun
        found[f"{size} moves"] = float(chain.values[ESTIMATES] + chain.values[TIMED]) / took
        load = 4 * inst.lot_run.size + inst.batch_work.size + inst.job_work.size + inst.job_good.size
        chain.values[DRAWS] = 1.0 + load // LOAD_A_DRAW
        before, begun = float(chain.values[TIMED]), time.process_time()
        chain.anneal(int(STEPS * (A_TIMING + chain.values[DRAWS])), 3e-5 * value, 3e-6 * value)
        found[f"{size} full timings"] = (float(chain.values[TIMED]) - before) / (time.process_time() - begun)
        begun = time.process_time()
        for _ in range(TIMED_ANEW):
            objective_of(arrays, first, timing)
        found[f"{size} timings"] = TIMED_ANEW / (time.process_time() - begun)
    return found


def cold() -> float:
    """Processor seconds of building the compiled part from nothing and loading all that is beside it."""
    with tempfile.TemporaryDirectory() as folder:
        env = os.environ | {"NUMBA_CACHE_DIR": folder, "PYTHONPATH": str(ROOT)}
        before = os.times()
        command = [sys.executable, "-c", "from planner.schedule.warm import warm; warm()"]
        subprocess.run(command, cwd=ROOT, env=env, check=True)
        after = os.times()
    return after.children_user + after.children_system - before.children_user - before.children_system


def measured(number: int, sizes: list[str], built: bool) -> Json:
    """All that is asked for, of the sources as they are here."""
    warm()
    found: Json = {"plans": plans(number), "speeds": speeds(sizes)}
    if built:
        found["speeds"]["cold s"] = cold()
    return found


def there(revision: str, folder: Path) -> None:
    """Lay a revision's planner and benchmarks out in a folder."""
    command = ["git", "archive", revision, "planner", "benchmarks"]
    packed = subprocess.run(command, cwd=ROOT, capture_output=True, check=True).stdout
    with tarfile.open(fileobj=io.BytesIO(packed)) as files:
        files.extractall(folder, filter="data")


def asked_of(folder: Path, number: int, sizes: list[str], built: bool) -> Json:
    """`measured` by the sources in a folder, in a process of its own."""
    command = [sys.executable, "-m", "benchmarks.same_plans", "--number", str(number), "--speed", ",".join(sizes)]
    command += ["--cold"] if built else []
    env = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"} | {"PYTHONPATH": str(folder)}
    done = subprocess.run(command, cwd=folder, env=env, stdout=subprocess.PIPE, text=True, check=True)
    found: Json = json.loads(done.stdout)
    return found


def differing(ours: dict[str, Json], theirs: dict[str, Json]) -> list[str]:
    """A line for each campaign whose plan is not the same on both sides."""
    names = [name for name in ours | theirs if ours.get(name) != theirs.get(name)]
    return [f"{name}: {_said(ours.get(name))} here, {_said(theirs.get(name))} there" for name in names]


def _said(plan: Json | None) -> str:
    return "nothing" if plan is None else f"{plan.get('objective', '-')} ({plan['ended']})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--number", type=int, default=100)
    parser.add_argument("--speed", default="")
    parser.add_argument("--cold", action="store_true")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--against")
    parser.add_argument("--pairs", type=int, default=3)
    asked = parser.parse_args()
    sizes = [size for size in asked.speed.split(",") if size]
    if asked.against is None:
        text = json.dumps(measured(asked.number, sizes, asked.cold))
        if asked.out is None:
            print(text)
        else:
            asked.out.write_text(text)
        return
    ratios: dict[str, list[float]] = {}
    with tempfile.TemporaryDirectory() as folder:
        there(asked.against, Path(folder))
        for pair in range(asked.pairs if sizes or asked.cold else 1):
            number = asked.number if pair == 0 else 0
            ours, theirs = (asked_of(where, number, sizes, asked.cold) for where in (ROOT, Path(folder)))
            if pair == 0:
                differ = differing(ours["plans"], theirs["plans"])
                print("\n".join([*differ, f"{len(ours['plans']) - len(differ)} of {len(ours['plans'])} the same"]))
            for name, value in ours["speeds"].items():
                if name not in theirs["speeds"]:  # not taken there yet
                    continue
                ratios.setdefault(name, []).append(value / theirs["speeds"][name])
                print(f"{name}: {value:,.1f} here, {theirs['speeds'][name]:,.1f} there", flush=True)
    for name, found in ratios.items():
        print(f"{name}: {median(found):.3f} of there, the median of {len(found)}")


if __name__ == "__main__":
    main()
