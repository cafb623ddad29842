"""All ordered pairs of a palette in several barrels at once against a plain loop over the same sum.

    python benchmarks/purge_matrix.py [--colours 60] [--barrels 2] [--repeats 5]

The loop takes one pair and one number at a time, with pyciede2000's difference and CIELAB written
out for three numbers; it also checks the arrays: the largest difference in kg is printed. Fixed seed.
"""

import argparse
import math
from time import perf_counter

import numpy as np
from pyciede2000 import ciede2000

from planner.purge.bands import RGB_WEIGHTS
from planner.purge.barrel import Barrel
from planner.purge.colour import Appearance, from_hex
from planner.purge.estimate import Melt, estimate
from planner.purge.matrix import purge_figures

STEPS, HALVINGS, SMALLEST = 25, 24, 1e-9


def lab(bands: list[float]) -> tuple[float, float, float]:
    def f(t: float) -> float:
        return t ** (1 / 3) if t > (6 / 29) ** 3 else t * (29 / 6) ** 2 / 3 + 4 / 29

    x, y, z = (f(sum(b * w[k] for b, w in zip(bands, WEIGHTS, strict=True))) for k in range(3))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


WEIGHTS = RGB_WEIGHTS.tolist()


def plain_kg(old: Appearance, new: Appearance, hold_up_kg: float) -> float:
    """Purge of one pair in one barrel, one number at a time."""

    def ratio(r: float) -> float:
        return (1 - r) ** 2 / (2 * r)

    clean = lab(list(new.rgb))

    def passes(x: float) -> bool:
        mixed = [x * ratio(a) + (1 - x) * ratio(b) for a, b in zip(old.rgb, new.rgb, strict=True)]
        dirty = lab([1 + k - math.sqrt(k * k + 2 * k) for k in mixed])
        return bool(ciede2000(clean, dirty)["delta_E_00"] <= 1.0)

    low, high = SMALLEST, None
    for step in range(STEPS):
        x = SMALLEST ** (1 - step / (STEPS - 1))
        if not passes(x):
            high = x
            break
        low = x
    if high is None:
        return 0.0
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if passes(middle) else (low, middle)
    return -math.log(low) * hold_up_kg


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--colours", type=int, default=60)
    parser.add_argument("--barrels", type=int, default=2)
    parser.add_argument("--repeats", type=int, default=5)
    given = parser.parse_args()
    rng = np.random.default_rng(0)
    colours = [from_hex(f"#{value:06x}") for value in rng.integers(0, 1 << 24, given.colours)]
    melts = [Melt("r", str(k), c) for k, c in enumerate(colours)]
    barrels = [Barrel(f"b{k}", 0.3 + 0.2 * k) for k in range(given.barrels)]

    def at_once() -> list[np.ndarray]:
        shared = estimate(melts)
        return [purge_figures(barrel, melts, estimated=shared).kg for barrel in barrels]

    times = []
    for _ in range(given.repeats):
        begin = perf_counter()
        arrays = at_once()
        times.append(perf_counter() - begin)

    begin = perf_counter()
    loops = [np.zeros_like(array) for array in arrays]
    for loop, barrel in zip(loops, barrels, strict=True):
        for i, old in enumerate(colours):
            for j, new in enumerate(colours):
                if i != j:
                    loop[i, j] = plain_kg(old, new, barrel.melt_kg)
    plain = perf_counter() - begin

    figures = given.barrels * given.colours * (given.colours - 1)
    worst = max(float(abs(a - b).max()) for a, b in zip(arrays, loops, strict=True))
    fast = float(np.median(times))
    print(f"{figures} estimates: at once {fast:.4f} s (median of {given.repeats}), plain loop {plain:.2f} s")
    print(f"ratio {plain / fast:.0f}; largest difference {worst:.4f} kg")


if __name__ == "__main__":
    main()
