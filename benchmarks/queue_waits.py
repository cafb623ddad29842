"""How long plans wait against how many workers there are, by a simulation of the two queues; prints one table.

python benchmarks/queue_waits.py [--seed 1]
Assumed, not measured: a workshop submits 6 plans a working day of 8 hours, half of them within the busiest two hours;
9 in 10 are small. Arrivals are a Poisson stream at the busiest hours' rate. A small plan takes its budget of 20 s and
2 s beside it, a large one 120 s and 10 s (a plan's time is its budget, so these are choices of the makers). A quarter
of the workers takes small plans only.
"""

import argparse
import heapq
import random
from collections import deque

PLANS_A_DAY, BUSY_SHARE, BUSY_HOURS, SMALL_SHARE = 6, 0.5, 2.0, 0.9
SECONDS = {"small": 22.0, "large": 130.0}
HOURS = 2.0


def simulate(workshops: int, workers: int, seed: int) -> dict[str, list[float]]:
    """Waiting seconds of each plan, by size, over the busy hours."""
    chance = random.Random(seed)
    rate = workshops * PLANS_A_DAY * BUSY_SHARE / (BUSY_HOURS * 3600)
    small_only = max(1, workers // 4) if workers > 1 else 0
    free = {"small": small_only, "both": workers - small_only}
    ends: list[tuple[float, str]] = []
    waiting: dict[str, deque[float]] = {"small": deque(), "large": deque()}
    waits: dict[str, list[float]] = {"small": [], "large": []}

    def begin(size: str, role: str, now: float, since: float) -> None:
        free[role] -= 1
        waits[size].append(now - since)
        heapq.heappush(ends, (now + SECONDS[size], role))

    def hand_out(now: float) -> None:
        while waiting["small"] and free["small"]:
            begin("small", "small", now, waiting["small"].popleft())
        while free["both"] and (waiting["large"] or waiting["small"]):
            # Celery asks its queues in turn; the plan that waits longest is a fair picture of that.
            size = min((s for s in waiting if waiting[s]), key=lambda s: waiting[s][0])
            begin(size, "both", now, waiting[size].popleft())

    now = 0.0
    while now < HOURS * 3600:
        now += chance.expovariate(rate)
        while ends and ends[0][0] <= now:
            ended, role = heapq.heappop(ends)
            free[role] += 1
            hand_out(ended)
        size = "small" if chance.random() < SMALL_SHARE else "large"
        waiting[size].append(now)
        hand_out(now)
    return waits


def waits_of(arrivals: list[float], services: list[float], servers: int) -> list[float]:
    """Seconds each waits that comes at those moments (in order) and takes that long: first come, first served."""
    free = [0.0] * servers
    waited = []
    for came, takes in zip(arrivals, services, strict=True):
        begins = max(came, heapq.heappop(free))
        waited.append(begins - came)
        heapq.heappush(free, begins + takes)
    return waited


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seed", type=int, default=1)
    options.add_argument("--workshops", type=int, nargs="*", default=[10, 1_000, 100_000])
    given = options.parse_args()
    mean = SMALL_SHARE * SECONDS["small"] + (1 - SMALL_SHARE) * SECONDS["large"]
    headings = f"{'workshops':>10}{'plans/h':>9}{'workers':>9}{'busy':>7}"
    print(headings + f"{'small p50':>11}{'p95 s':>8}{'large p50':>11}{'p95 s':>8}")
    for workshops in given.workshops:
        hourly = workshops * PLANS_A_DAY * BUSY_SHARE / BUSY_HOURS
        least = hourly * mean / 3600
        for workers in sorted({max(2, round(least * share + 0.5)) for share in (1.05, 1.2, 1.5, 2.0)}):
            waits = simulate(workshops, workers, given.seed)
            cells = []
            for size in ("small", "large"):
                every = sorted(waits[size]) or [0.0]
                cells += [every[len(every) // 2], every[int(len(every) * 0.95)]]
            print(
                f"{workshops:>10}{hourly:>9.0f}{workers:>9}{least / workers:>7.0%}"
                f"{cells[0]:>11.1f}{cells[1]:>8.1f}{cells[2]:>11.1f}{cells[3]:>8.1f}"
            )


if __name__ == "__main__":
    main()
