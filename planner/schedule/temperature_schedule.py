"""How warm the chain is as the budget goes by: one long cooling, then shorter ones from the best plan.

Why calibrated: a temperature that suits one campaign freezes another. A short descent first shows what moves cost; the
geometric mean of what makes a plan worse is the unit. Beginning at 0.03, 0.1 or 0.3
units gave, all campaigns and two seeds of the chain together: four of 25 runs, 80 rounds, 117,603, 117,488 and 117,440;
four of 70 runs, 40 rounds, 351,199, 349,931 and 350,660; with 200 and 500 runs there was no difference beyond that of
seeds. On one machine with set-ups (wt_sds_5, 60 jobs) 0.02 and 0.1 gave 5,116 and 4,889 (5 s).

The shorter coolings gained nothing that could be measured: with one cooling alone the cost was 0.9985 (S, 2 s), 0.9986
(M, 4 s) and 0.9993 (L, 8 s) of what it is with them, medians of three seeds (`benchmarks.schedule_parts`).
"""

import math

HOT = 0.1
COLD = 0.001
"""Temperatures at the beginning and the end of a cooling, in units of what a move makes worse."""

COOLINGS = ((0.0, 1.0), (0.5, 0.2), (0.7, 0.2), (0.85, 0.2))
"""Share of the budget at which each cooling begins, and its first temperature as a share of HOT."""


def cooling_at(share: float) -> int:
    """Which cooling it is."""
    return max(n for n, (begins, _) in enumerate(COOLINGS) if begins <= share)


def temperature(share: float, unit: float) -> float:
    """Temperature at a share of the budget, in money or whatever the objective counts."""
    number = cooling_at(share)
    begins, warmth = COOLINGS[number]
    ends = COOLINGS[number + 1][0] if number + 1 < len(COOLINGS) else 1.0
    along = min(1.0, (share - begins) / (ends - begins))
    first = max(HOT * warmth, 2 * COLD)
    return unit * first * math.exp(math.log(COLD / first) * along)
