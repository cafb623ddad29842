"""What each part of the search gains: cost with one part left out, over cost with everything.

    python -m benchmarks.schedule_parts [--sizes S:2,M:4,L:8] [--seeds 3] [--parts NAME,NAME] [--beside 1]

--sizes: size and processor seconds of each search, one core, no bound beside it. For each part: median of the seeds, in
brackets the least and the most; above 1 the part gains. `first`: the same of the first plan. A part is left out by
changing a line of a copy of the sources, which is compiled anew: some 20 s a part.
"""

import argparse
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from statistics import median

from benchmarks.generator import sized
from benchmarks.stopwatch import Stopwatch
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.warm import warm

ROOT = Path(__file__).parent.parent

Change = tuple[str, str, str]
"""(file in planner/schedule, what stands there exactly once, what stands there without the part)."""

EVERYTHING = "everything"

REVERSE, SWAP, CROSS = "if kind < 0.1:", "if kind < 0.25:", "if kind < 0.3 and"

PARTS: dict[str, tuple[Change, ...]] = {
    EVERYTHING: (),
    "estimates": (
        ("annealing.py", "or (least < np.inf and uniform(rng) < doubt)", "or least < np.inf"),
        ("annealing.py", "draws = max(1, int(values[DRAWS]))", "draws = 1"),
    ),
    "doubt of estimates": (("annealing.py", "DOUBT = 0.03", "DOUBT = 0.0"),),
    "dropped half-way": (
        ("annealing.py", "timing.totals) + values[FLOOR] <= limit", "timing.totals) < np.inf"),
    ),
    "rank_by_start": (("annealing.py", "RANK_SHARE = 0.2", "RANK_SHARE = 0.0"),),
    "batches re-ordered": (("annealing.py", "ORDERS_A_MOVE = 4", "ORDERS_A_MOVE = 1_000_000_000"),),
    "hurry": (("moves.py", "LATE_SHARE = 0.2", "LATE_SHARE = 0.0"),),
    "kin targets": (("moves.py", "TO_KIN, TO_NEAR = 0.3, 0.4", "TO_KIN, TO_NEAR = 0.0, 0.4"),),
    "near targets": (("moves.py", "TO_KIN, TO_NEAR = 0.3, 0.4", "TO_KIN, TO_NEAR = 0.3, 0.0"),),
    "stretches": (("moves.py", "kinship = uniform(rng)", "kinship = 1.0"),),
    "reverse": (("moves.py", REVERSE, "if kind < 0.0:"), ("moves.py", SWAP, "if 0.1 <= kind < 0.25:")),
    "swap": (("moves.py", SWAP, "if kind < 0.0:"), ("moves.py", CROSS, "if 0.25 <= kind < 0.3 and")),
    "cross": (("moves.py", CROSS, "if kind < 0.0 and"),),
    "several draws": (("search.py", "values[DRAWS] = 1.0 + load // LOAD_A_DRAW", "values[DRAWS] = 1.0"),),
    "re-coolings": (("temperature_schedule.py", "(0.0, 1.0), (0.5, 0.5), (0.75, 0.5))", "(0.0, 1.0),)"),),
    "rule_of_thumb": (("construct.py", "if by_rule is not None and", "if by_rule is None and"),),
    "tool_then_colour": (("construct.py", "= (tool_then_colour, earliest", "= (earliest"),),
    "earliest_wanted": (("construct.py", "(tool_then_colour, earliest_wanted, ", "(tool_then_colour, "),),
    "colour_then_tool": (("construct.py", "earliest_wanted, colour_then_tool)", "earliest_wanted)"),),
    "all three of construct": (("construct.py", "= (tool_then_colour, earliest_wanted, colour_then_tool)", "= ()"),),
}  # fmt: skip

Costs = dict[str, list[list[float]]]
"""Of each size, for each seed: cost of the first plan and of the last."""


class OneCore(Stopwatch):
    """So many seconds of this process's processor time, so that others on the machine do not count."""

    def __init__(self, seconds: float) -> None:
        super().__init__(seconds)
        self.begun = time.process_time()

    def elapsed(self) -> float:
        return time.process_time() - self.begun

    def cores(self) -> int:
        return 1


def costs(sizes: Mapping[str, float], seeds: int) -> Costs:
    """Searches with the sources as they are here. sizes: processor seconds of each."""
    warm()
    found: Costs = {}
    for size, seconds in sizes.items():
        for seed in range(1, seeds + 1):
            inst, _ = compile_campaign(sized(size, seed))
            watch = OneCore(seconds)
            cost = search(inst, Budget(None, seed, 0.0, bound_effort=0), watch).cost
            found.setdefault(size, []).append([watch.seen[0][1].cost or cost, cost])
    return found


def without(part: str, folder: Path) -> None:
    """Copy the sources into a folder, without the part. Raises AssertionError where a line is not what it was."""
    for name in ("planner", "benchmarks"):
        shutil.copytree(ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name, old, new in PARTS[part]:
        source = folder / "planner" / "schedule" / name
        text = source.read_text()
        assert text.count(old) == 1, f"{part}: {name} holds {old!r} {text.count(old)} times"
        source.write_text(text.replace(old, new))


def measured(part: str, sizes: Mapping[str, float], seeds: int) -> Costs:
    """`costs` without the part, in a fresh process with compiled code of its own."""
    with tempfile.TemporaryDirectory() as folder:
        without(part, Path(folder))
        env = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"} | {"PYTHONPATH": folder}
        command = [
            sys.executable,
            "-m",
            "benchmarks.schedule_parts",
            "--here",
            json.dumps(sizes),
            "--seeds",
            str(seeds),
        ]
        done = subprocess.run(command, cwd=folder, env=env, capture_output=True, text=True, check=True)
    found: Costs = json.loads(done.stdout)
    return found


def line(part: str, found: Costs, everything: Costs) -> str:
    """One row: ratios of each size, last plan and first."""
    said = [f"{part:>24}"]
    for size, rows in found.items():
        last = [row[1] / base[1] for row, base in zip(rows, everything[size], strict=True)]
        first = [row[0] / base[0] for row, base in zip(rows, everything[size], strict=True)]
        said.append(f"{size} {median(last):.4f} [{min(last):.4f} {max(last):.4f}] first {median(first):.4f}")
    return "  ".join(said)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", default="S:2,M:4,L:8")
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--parts", default=",".join(PARTS))
    parser.add_argument("--beside", type=int, default=1, help="searches at once; fewer than cores that are idle")
    parser.add_argument("--here", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.here:
        print(json.dumps(costs(json.loads(asked.here), asked.seeds)))
        return
    sizes = {size: float(seconds) for size, _, seconds in (pair.partition(":") for pair in asked.sizes.split(","))}
    parts = [EVERYTHING, *(part for part in asked.parts.split(",") if part != EVERYTHING)]
    with ThreadPoolExecutor(asked.beside) as pool:
        running = [pool.submit(measured, part, sizes, asked.seeds) for part in parts]
        everything = running[0].result()
        for size, rows in everything.items():
            print(f"{size}: with everything " + ", ".join(f"{row[1]:.0f}" for row in rows), flush=True)
        for part, found in zip(parts[1:], running[1:], strict=True):
            print(line(part, found.result(), everything), flush=True)


if __name__ == "__main__":
    main()
