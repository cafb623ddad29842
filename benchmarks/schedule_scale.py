"""Our own scale series XS to XL: first plan, cost and gap as time goes on, memory, ratio to the rule of thumb.

    python -m benchmarks.schedule_scale [--sizes XS,S,M,L,XL] [--seconds 10,60] [--seed 1]

Each row is one run; seconds are wall-clock on this machine, the compiled part warm. Gap = (cost - bound) / cost.
"""

import argparse
import resource
import time

from benchmarks.generator import sized
from benchmarks.rule_of_thumb import measured_rule
from planner.control import Progress
from planner.schedule.compiled import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.warm import warm


class Stopwatch:
    """A Control that ends after so many seconds and notes what was known when."""

    def __init__(self, seconds: float) -> None:
        self.begun, self.seconds = time.monotonic(), seconds
        self.seen: list[tuple[float, Progress]] = []

    def should_stop(self) -> bool:
        return False

    def seconds_left(self) -> float | None:
        return self.seconds - (time.monotonic() - self.begun)

    def cores(self) -> int:
        return 2

    def report(self, progress: Progress) -> None:
        self.seen.append((time.monotonic() - self.begun, progress))


def series(sizes: list[str], seconds: list[float], seed: int) -> list[dict[str, object]]:
    """One row a size, one search a size and a time."""
    warm()
    rows: list[dict[str, object]] = []
    for size in sizes:
        inst, names = compile_campaign(sized(size, seed))
        rule = measured_rule(inst, names)
        row: dict[str, object] = {"size": size, "lots": inst.lot_run.size, "batches": inst.batch_work.size}
        for limit in seconds:
            watch = Stopwatch(limit)
            found = search(inst, Budget(None, seed, 0.0), watch)
            row["first plan s"] = round(watch.seen[0][0], 3)
            row[f"cost {limit:g} s"] = round(found.cost, 1)
            row[f"gap {limit:g} s"] = f"{(found.cost - found.bound) / found.cost:.2%}"
            row[f"to rule {limit:g} s"] = "-" if rule is None else f"{found.cost / rule:.4f}"
            near = [at for at, p in watch.seen if p.gap is not None and p.gap <= 0.05]
            row["s to 5 %"] = round(near[0], 2) if near else "-"
            row["ended"] = found.ended
        row["MiB"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
        rows.append(row)
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", default="XS,S,M,L,XL")
    parser.add_argument("--seconds", default="10,60")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    for row in series(asked.sizes.split(","), [float(s) for s in asked.seconds.split(",")], asked.seed):
        print("  ".join(f"{name} {value}" for name, value in row.items()), flush=True)


if __name__ == "__main__":
    main()
