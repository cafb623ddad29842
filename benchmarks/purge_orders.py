"""Best colour order against light to dark on random palettes: how much purge the rule of thumb leaves lying.

    python benchmarks/purge_orders.py [--palettes 1000] [--largest 20]

Each palette: 3 to `largest` colours drawn evenly over the screen's colours, one more in the barrel at the
start, hold-up 1 kg. Prints the distribution of light-to-dark kg over best kg, by size, and the search's gap to
the proven order on palettes of 14. Fixed seeds.
"""

import argparse

import numpy as np

from planner.purge.barrel import Barrel
from planner.purge.colour import from_hex
from planner.purge.estimate import Melt
from planner.purge.local_search import searched_order
from planner.purge.matrix import purge_figures
from planner.purge.order import EXACT_UP_TO, best_order, light_to_dark, order_total

DECILES = (0, 10, 25, 50, 75, 90, 100)


def palette(n: int, seed: int) -> tuple[np.ndarray, np.ndarray, tuple[int, ...]]:
    """Return kg between n colours, kg from the colour in the barrel to each, and light to dark."""
    rng = np.random.default_rng(seed)
    colours = [from_hex(f"#{value:06x}") for value in rng.integers(0, 1 << 24, n + 1)]
    kg = purge_figures(Barrel("b", 1.0), [Melt("r", str(k), c) for k, c in enumerate(colours)]).kg
    return kg[1:, 1:], kg[0, 1:], light_to_dark(colours[1:])


def line(name: str, ratios: list[float]) -> str:
    shares = " ".join(f"{v:6.3f}" for v in np.percentile(ratios, DECILES))
    matched = sum(r < 1 + 1e-9 for r in ratios)
    return f"{name:>9} {len(ratios):5d} {matched:8d} {sum(r < 1 - 1e-9 for r in ratios):6d}  {shares}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--palettes", type=int, default=1000)
    parser.add_argument("--largest", type=int, default=20)
    given = parser.parse_args()

    by_size: dict[int, list[float]] = {}
    for seed in range(given.palettes):
        n = 3 + seed % (given.largest - 2)
        costs, start, rule = palette(n, seed)
        best = best_order(costs, start, tries=[rule]).total
        by_size.setdefault(n, []).append(order_total(costs, rule, start) / best)

    print("light to dark over best, kg; percentiles " + " ".join(f"P{d}" for d in DECILES))
    print(f"{'colours':>9} {'count':>5} {'matched':>8} {'better':>6}")
    for n in sorted(by_size):
        print(line(str(n), by_size[n]))
    print(line("all", [ratio for ratios in by_size.values() for ratio in ratios]))

    gaps = []
    for seed in range(max(1, given.palettes // 20)):
        costs, start, rule = palette(EXACT_UP_TO, 10_000 + seed)
        found = order_total(costs, searched_order(costs, start, [rule], 0), start)
        gaps.append(found / best_order(costs, start).total - 1)
    exact = sum(gap < 1e-9 for gap in gaps)
    print(
        f"search against the proven order of {EXACT_UP_TO}: {exact} of {len(gaps)} exact, "
        f"mean gap {100 * np.mean(gaps):.3f} %, worst {100 * max(gaps):.3f} %"
    )


if __name__ == "__main__":
    main()
