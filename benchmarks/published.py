"""Published scheduling instances through the planner's own engine: our value, the published one, seconds.

    python -m benchmarks.published FOLDER [--seconds 10] [--most N] [--seed 1] [--names wt_sds_1,br17]
                                   [--processor] [--only atsp,cranes,parallel,soonest,tardiness,orders]

FOLDER holds `atsp/*.atsp` (TSPLIB, Reinelt 1991), `parallel-setups/` (unrelated machines, set-ups, makespan; Vallada
& Ruiz, EJOR 211(3) 2011) and `weighted-tardiness/` (one machine, set-ups; Cicirello). Soonest: the same machines with
the weights of a campaign that is to be soonest finished. Customer orders are drawn by benchmarks/customer_orders.py,
which also knows their optimum; cranes are tours of a stacker crane drawn here, beside the least assignment, which no
tour undercuts. All are read into an Instance by benchmarks/plain_workshop.py; nothing in the engine is special to
them. --most: of each family, the first so many; without it all. --names: these alone. --processor: seconds are
processor seconds, as they would be with nobody else on the machine. Last, of each family with published values above
0, by how much ours lie above them, on average and at worst, and how many were proven.
"""

import argparse
import csv
from collections.abc import Iterable, Iterator
from itertools import islice
from pathlib import Path
from statistics import fmean
from typing import NamedTuple

import numpy as np
from ortools.graph.python.linear_sum_assignment import SimpleLinearSumAssignment

from benchmarks.customer_orders import drawn
from benchmarks.plain_workshop import least_lateness, least_makespan, tour, workshop
from benchmarks.stopwatch import AsIfAlone, Stopwatch
from planner.schedule.bounds.objective_gap import DAY_S
from planner.schedule.encode import aimed
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search
from planner.schedule.warm import warm

TOURS = {
    "br17": 39, "ftv33": 1286, "ftv38": 1530, "ftv47": 1776, "ft53": 6905, "ftv64": 1839, "ft70": 38673, "ftv70": 1950,
    "kro124p": 36230, "p43": 5620, "ry48p": 14422,
}  # fmt: skip

Case = tuple[str, Instance, int, float]
"""(name, instance, what to take off the objective, published value)"""


def atsp(folder: Path) -> Iterator[Case]:
    """Asymmetric tours, smallest first."""
    for path in sorted(folder.glob("atsp/*.atsp"), key=lambda p: p.stat().st_size):
        head, _, body = path.read_text().partition("EDGE_WEIGHT_SECTION")
        n = int(next(line.split(":")[1] for line in head.splitlines() if line.startswith("DIMENSION")))
        numbers = [int(x) for x in body.replace("EOF", "").split()][: n * n]
        inst, shots = tour(np.array(numbers).reshape(n, n).tolist())
        yield path.stem, inst, shots, TOURS[path.stem]


def parallel(folder: Path) -> Iterator[Case]:
    """Unrelated machines with set-ups; completion of the last job."""
    for row in csv.DictReader((folder / "parallel-setups" / "bounds.csv").open()):
        numbers = iter((folder / "parallel-setups" / f"{row['instance']}.txt").read_text().split())
        n, m = int(next(numbers)), int(next(numbers))
        next(numbers), next(numbers)  # kind of the file
        seconds = [[0] * n for _ in range(m)]
        for j in range(n):
            for _ in range(m):
                machine = int(next(numbers))
                seconds[machine][j] = int(next(numbers))
        rest = [int(x) for x in numbers if x.isdigit()]  # not the headings
        setups = np.array(rest).reshape(m, n, n)
        yield row["instance"], least_makespan(workshop(seconds, setups=setups.tolist())), 0, float(row["makespan"])


def soonest(folder: Path) -> Iterator[Case]:
    """The same under the weights of a campaign's aim: thousand a day of the last, one of the mean, money after that."""
    for name, inst, off, published in parallel(folder):
        yield name, aimed(inst, "soonest"), off, published


def cranes(_folder: Path) -> Iterator[Case]:
    """A crane carries loads along a line of 60 places, each from one to another: the empty way from each to each."""
    for loads in (171, 323, 403, 443):
        draw = np.random.default_rng(loads)
        taken, put = draw.integers(0, 60, (2, loads))
        empty = np.abs(put[:, None] - taken[None, :])
        ways = SimpleLinearSumAssignment()
        left, right = np.nonzero(~np.eye(loads, dtype=np.bool_))
        ways.add_arcs_with_cost(left, right, empty[left, right])
        ways.solve()
        np.fill_diagonal(empty, 0)
        inst, shots = tour(empty.tolist())
        yield f"crane{loads}", inst, shots, float(ways.optimal_cost())


def tardiness(folder: Path) -> Iterator[Case]:
    """One machine, set-ups, weighted tardiness."""
    for row in csv.DictReader((folder / "weighted-tardiness" / "values.csv").open()):
        text = (folder / "weighted-tardiness" / f"{row['instance']}.instance").read_text()
        yield row["instance"], _one_machine(text), 0, float(row["reference_upper_bound"])


def _one_machine(text: str) -> Instance:
    sections: dict[str, list[int]] = {}
    name = ""
    for line in text.splitlines():
        if ":" in line:
            name = line.partition(":")[0].strip().lower()
        else:
            sections.setdefault(name, []).extend(int(x) for x in line.split() if x.lstrip("-").isdigit())
    found = {
        key: next(v for k, v in sections.items() if key in k and v) for key in ("process", "weight", "due", "setup")
    }
    n = len(found["process"])
    setups, first = np.zeros((n, n), dtype=np.int64), np.zeros(n, dtype=np.int64)
    for i, j, seconds in np.array(found["setup"]).reshape(-1, 3):
        if i < 0:
            first[j] = seconds
        else:
            setups[i, j] = seconds
    return least_lateness(
        workshop(
            [found["process"]], setups=[setups.tolist()], first=[first.tolist()], due=found["due"], late=found["weight"]
        )
    )


def orders(_folder: Path) -> Iterator[Case]:
    """Orders that wait for a piece from each press; weighted completions."""
    for name, inst, optimum in drawn(range(1, 6)):
        yield name, inst, 0, optimum


FAMILIES = {
    "atsp": atsp,
    "cranes": cranes,
    "parallel": parallel,
    "soonest": soonest,
    "tardiness": tardiness,
    "orders": orders,
}


class Line(NamedTuple):
    """What came of one instance. seconds: taken. ended: why."""

    family: str
    name: str
    published: float
    ours: float
    seconds: float
    ended: str


def table(cases: Iterable[tuple[str, Case]], seconds: float, seed: int = 1, alone: bool = False) -> Iterator[Line]:
    """One search each. cases: with their families. alone: in processor seconds."""
    warm()
    for family, (name, inst, off, published) in cases:
        watch = AsIfAlone(seconds) if alone else Stopwatch(seconds)
        found = search(inst, Budget(None, seed, 0.0), watch)
        value = found.aim.value * DAY_S if found.aim is not None else found.objective
        yield Line(family, name, published, value - off, watch.elapsed(), found.ended)


def chosen(folder: Path, families: list[str], most: int | None, names: list[str]) -> Iterator[tuple[str, Case]]:
    """Of each family the first `most`, or all. names: these alone, unless there are none."""
    for family in families:
        of_family = (case for case in FAMILIES[family](folder) if not names or case[0] in names)
        yield from ((family, case) for case in islice(of_family, most))


def summary(lines: list[Line]) -> str:
    """One family's lines in one."""
    over = [line.ours / line.published - 1 for line in lines if line.published]
    above = f"mean {fmean(over):.2%}, worst {max(over):.2%} above published, " if over else ""
    proven = sum(line.ended == "proven" for line in lines)
    longest = max(line.seconds for line in lines)
    return f"{lines[0].family}, {len(lines)} instances: {above}{proven} proven, {longest:.1f} s at most"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--only", default=",".join(FAMILIES))
    parser.add_argument("--most", type=int)
    parser.add_argument("--names", default="")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--processor", action="store_true")
    asked = parser.parse_args()
    names = [name for name in asked.names.split(",") if name]
    cases = chosen(asked.folder, asked.only.split(","), asked.most, names)
    print(f"{'instance':>22} {'published':>10} {'ours':>10} {'over':>8} {'s':>7}  ended")
    lines: list[Line] = []
    for line in table(cases, asked.seconds, asked.seed, asked.processor):
        lines.append(line)
        over = f"{line.ours / line.published - 1:.2%}" if line.published else f"+{line.ours:g}"
        print(
            f"{line.name:>22} {line.published:>10g} {line.ours:>10.0f} {over:>8} {line.seconds:>7.1f}  {line.ended}",
            flush=True,
        )
    for family in dict.fromkeys(line.family for line in lines):
        print(summary([line for line in lines if line.family == family]))


if __name__ == "__main__":
    main()
