"""Our own scale series XS to XL: first plan, gap as time goes on, memory, ratio to the rule of thumb, growth.

    python -m benchmarks.schedule_scale [--sizes XS,S,M,L,XL] [--seconds 300] [--marks 10,60,300] [--seeds 1]
                                        [--out FOLDER] [--repeat 0] [--stop 0] [--proofs 0] [--agree 0]

Each campaign is planned once, in a process of its own, the compiled part warm; what was known at each mark is told, so
the whole takes at most sizes x seeds x seconds and what proofs save. With several seeds: median and worst.
Avoidable gap = (cost - bound) / (cost - fixed cost). To the rule of thumb: cost over its cost; of what is avoidable:
both less fixed cost and the press hours of all shots. --out: growth.csv, growth.svg, rows.json.
--repeat N: N searches with one seed and as many rounds, how many gave one plan. --stop N: N stops, how long each took.
--proofs N: N campaigns of size XS, proven or not. --agree N: evaluator against audited totals on N small campaigns.
"""

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

from benchmarks.scale_checks import agreement, proofs, repeated, told_latency
from benchmarks.scale_growth import write_growth
from benchmarks.scale_run import in_a_process
from planner.schedule.warm import warm

REPEAT_ROUNDS = {"XS": 4, "S": 4, "M": 2, "L": 1, "XL": 1}
SHARES = ("avoidable gap", "to rule", "avoidable to rule")

Run = Callable[[str, int, float, list[float]], dict[str, Any]]


def series(
    sizes: list[str], seeds: list[int], seconds: float, marks: list[float], run: Run = in_a_process
) -> list[dict[str, Any]]:
    """One row a size and seed, told as soon as it is there."""
    rows = []
    for size in sizes:
        for seed in seeds:
            row = run(size, seed, seconds, marks)
            rows.append(row)
            print(line(row), flush=True)
        if len(seeds) > 1:
            print(summary([row for row in rows if row["size"] == size]), flush=True)
    return rows


def line(row: dict[str, Any]) -> str:
    """A row in words."""
    near = "-" if row["s to 5 %"] is None else f"{row['s to 5 %']:.2f}"
    said = [
        f"{row['size']} seed {row['seed']}: {row['runs']} runs, {row['lots']} lots, {row['batches']} batches",
        f"compiled {row['compile s']:.2f} s",
        f"first plan {row['first plan s']:.3f} s",
    ]
    for mark, known in row["at"].items():
        cost = "-" if known["cost"] is None else f"{known['cost']:.1f}"
        shares = ", ".join(f"{name} {_percent(known[name])}" for name in SHARES)
        said.append(f"{mark} s: cost {cost}, {shares}")
    said.append(f"5 % avoidable gap after {near} s; {row['ended']} after {row['ended s']:.1f} s; {row['MiB']:.0f} MiB")
    said.append(f"bound: {row['basis']}")
    return "\n    ".join(said)


def summary(rows: list[dict[str, Any]]) -> str:
    """Median and worst of the seeds of one size."""
    firsts = [row["first plan s"] for row in rows]
    said = [
        f"{rows[0]['size']}, {len(rows)} seeds: median, worst",
        f"first plan s {median(firsts):.3f}, {max(firsts):.3f}",
    ]
    for mark in rows[0]["at"]:
        for name in SHARES:
            values = [row["at"][mark][name] for row in rows if row["at"][mark][name] is not None]
            if values:
                said.append(f"{mark} s: {name} {_percent(median(values))}, {_percent(max(values))}")
    memory = [row["MiB"] for row in rows]
    said.append(f"MiB {median(memory):.0f}, {max(memory):.0f}")
    return "\n    ".join(said)


def _percent(share: float | None) -> str:
    return "-" if share is None else f"{share:.2%}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--sizes", default="XS,S,M,L,XL")
    parser.add_argument("--seconds", type=float, default=300.0)
    parser.add_argument("--marks", default="10,60,300")
    parser.add_argument("--seeds", type=int, default=1)
    parser.add_argument("--first-seed", type=int, default=1)
    parser.add_argument("--out", type=Path)
    for check in ("repeat", "stop", "proofs", "agree"):
        parser.add_argument(f"--{check}", type=int, default=0)
    asked = parser.parse_args()
    sizes = [size for size in asked.sizes.split(",") if size]
    seeds = list(range(asked.first_seed, asked.first_seed + asked.seeds))
    warm()
    if asked.seconds > 0:
        rows = series(sizes, seeds, asked.seconds, [float(mark) for mark in asked.marks.split(",")])
        if asked.out is not None:
            write_growth(rows, asked.out)
            (asked.out / "rows.json").write_text(json.dumps(rows, indent=1) + "\n")
    for size in sizes if asked.repeat else []:
        same = repeated(size, asked.first_seed, REPEAT_ROUNDS[size], asked.repeat)
        print(f"{size}: {same} of {asked.repeat} searches of {REPEAT_ROUNDS[size]} rounds gave one plan", flush=True)
    for size in sizes if asked.stop else []:
        print(told_latency(size, asked.first_seed, 5.0, asked.stop), flush=True)
    if asked.proofs:
        print(proofs("XS", range(1, asked.proofs + 1), 30.0), flush=True)
    if asked.agree:
        print(agreement(asked.agree, 2), flush=True)


if __name__ == "__main__":
    main()
