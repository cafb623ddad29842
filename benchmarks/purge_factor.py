"""What a short purge log teaches: a barrel's factor and its matrix before and after, over many seeds.

    python benchmarks/purge_factor.py [--seeds 200] [--changes 8] [--noise 0.2]

Each seed draws a palette of 8 colours, a true factor (log-uniform from a half to double) and a log of random
changes with lognormal noise. Prints the factor's error, the matrix's mean error over all pairs before and
after, and the share of true figures inside P10 to P90; then the same with one entry in the log spoiled
(kilograms written ten times too large). The range also allows for what the sum misses between pairs, which
this log has none of, so more than four in five true figures should lie inside.

Then barrels as the range expects them: factors spread as the prior says, and what the sum misses between pairs spread
by 0.3 to 0.9 (natural log, log-uniform). Of those, P10 to P90 should hold four in five true figures, however long the
log is.
"""

import argparse
import math

import numpy as np

from planner.purge.barrel import Barrel
from planner.purge.basis import Basis
from planner.purge.colour import from_hex
from planner.purge.estimate import Melt
from planner.purge.factor import BETWEEN_BARRELS
from planner.purge.log import LogEntry
from planner.purge.matrix import purge_figures

COLOURS = 8


def one(seed: int, changes: int, noise: float, spoiled: bool) -> tuple[float, float, float, float, float]:
    """Return factor error, matrix error before and after, and share inside the range before and after."""
    rng = np.random.default_rng(seed)
    palette = [from_hex(f"#{value:06x}") for value in rng.integers(0, 1 << 24, COLOURS)]
    melts = [Melt("r", str(k), colour) for k, colour in enumerate(palette)]
    barrel = Barrel("b", 0.5)
    before = purge_figures(barrel, melts)
    truth = math.exp(rng.uniform(-math.log(2), math.log(2)))
    log = []
    for k in range(changes):
        i, j = rng.choice(COLOURS, 2, replace=False)
        kg = float(before.kg[i, j] * truth * math.exp(rng.normal(0, noise)))
        log.append(LogEntry(str(k), "b", melts[i].key, melts[j].key, kg=10 * kg if spoiled and k == 0 else kg))
    after = purge_figures(barrel, melts, log=log)
    pairs = before.kg > 0
    true_kg = truth * before.kg[pairs]

    def error(kg: np.ndarray) -> float:
        return float(np.mean(abs(kg[pairs] / true_kg - 1)))

    def inside(low: np.ndarray, high: np.ndarray) -> float:
        return float(np.mean((low[pairs] <= true_kg) & (true_kg <= high[pairs])))

    return (
        abs(after.fit.factor / truth - 1),
        error(before.kg),
        error(after.kg),
        inside(before.low, before.high),
        inside(after.low, after.high),
    )


LEAST_SCATTER, MOST_SCATTER = 0.3, 0.9


def held(seed: int, changes: int, noise: float) -> tuple[int, int, int, int]:
    """How many lie inside P10 to P90 and how many there are: true figures of estimated pairs, and the next purges of
    pairs that are in the log."""
    rng = np.random.default_rng(seed)
    palette = [from_hex(f"#{value:06x}") for value in rng.integers(0, 1 << 24, COLOURS)]
    melts = [Melt("r", str(k), colour) for k, colour in enumerate(palette)]
    barrel = Barrel("b", 0.5)
    estimate = purge_figures(barrel, melts).kg
    scatter = math.exp(rng.uniform(math.log(LEAST_SCATTER), math.log(MOST_SCATTER)))
    true_kg = estimate * np.exp(rng.normal(0, BETWEEN_BARRELS) + rng.normal(0, scatter, estimate.shape))
    log = []
    for k in range(changes):
        i, j = rng.choice(COLOURS, 2, replace=False)
        kg = float(true_kg[i, j] * math.exp(rng.normal(0, noise)))
        # confirmed: what is set aside for its distance would have to be looked at by a maker
        log.append(LogEntry(str(k), "b", melts[i].key, melts[j].key, kg=kg, confirmed=True))
    after = purge_figures(barrel, melts, log=log)
    estimated, measured = (after.basis == basis for basis in (Basis.ESTIMATED, Basis.MEASURED))
    following = true_kg * np.exp(rng.normal(0, noise, true_kg.shape))
    inside = (after.low <= true_kg) & (true_kg <= after.high) & estimated
    repeated = (after.low <= following) & (following <= after.high) & measured
    return int(inside.sum()), int(estimated.sum()), int(repeated.sum()), int(measured.sum())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seeds", type=int, default=200)
    parser.add_argument("--changes", type=int, default=8)
    parser.add_argument("--noise", type=float, default=0.2)
    given = parser.parse_args()
    names = ("factor error", "matrix error before", "matrix error after", "inside before", "inside after")
    print(f"{given.changes} changes, {100 * given.noise:.0f} % noise, {given.seeds} seeds; per cent")
    print(f"{'':22} {'mean':>7} {'median':>7} {'P90':>7}")
    for spoiled in (False, True):
        print("one entry ten times too large" if spoiled else "clean log")
        rows = np.array([one(seed, given.changes, given.noise, spoiled) for seed in range(given.seeds)])
        for name, column in zip(names, rows.T, strict=True):
            print(
                f"  {name:20} {100 * column.mean():7.1f} {100 * np.median(column):7.1f} "
                f"{100 * np.percentile(column, 90):7.1f}"
            )
    print(f"barrels as the prior has them, pairs scattered by {LEAST_SCATTER} to {MOST_SCATTER}; inside P10 to P90, %")
    print(f"{'entries':>9} {'true figure of a pair estimated':>32} {'next purge of a pair measured':>30}")
    for entries in (0, 1, 2, 4, given.changes, 20):
        sums = np.sum([held(seed, entries, given.noise) for seed in range(given.seeds)], axis=0)
        measured = f"{100 * sums[2] / sums[3]:30.1f}" if sums[3] else f"{'-':>30}"
        print(f"{entries:9} {100 * sums[0] / sums[1]:32.1f} {measured}")


if __name__ == "__main__":
    main()
