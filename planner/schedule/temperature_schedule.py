"""How warm the chain is as the budget goes by: one long cooling, or several from the first plan where the budget is
large, then shorter ones from the best plan.

Why calibrated: a temperature that suits one campaign freezes another. A short descent first shows what moves cost; the
geometric mean of what makes a plan worse is the unit. Beginning at 0.03, 0.1 or 0.3
units gave, all campaigns and two seeds of the chain together: four of 25 runs, 80 rounds, 117,603, 117,488 and 117,440;
four of 70 runs, 40 rounds, 351,199, 349,931 and 350,660; with 200 and 500 runs there was no difference beyond that of
seeds. On one machine with set-ups (wt_sds_5, 60 jobs) 0.02 and 0.1 gave 5,116 and 4,889 (5 s).

The shorter coolings are warm enough to leave the optimum that the one before ended in: with 25 runs optima are 0.1 to
0.5 % apart, and a fifth as warm a search of 16 s (S seed 1) still ended 0.2 % above what another had found in 2. From
0.2 to 0.003 units, then twice half as warm, instead of from 0.1 to 0.001, then three times a fifth as warm: eight
searches of 25 runs, 60 rounds, 115,222 became 115,102 in all (six better, one worse); three of 70 runs, 25 rounds,
126,253 became 126,003; one of 200 runs, 8 rounds, 126,867 became 126,828; in no more processor seconds.

Three times as warm throughout (0.6 to 0.009), in pairs of one seed, processor seconds of one core, what plans cost
after over before: 70 runs, 4 or 5 s, one campaign whose seeds end up to 3 % apart -3.1, +1.1, -0.3, -2.4, -1.0 %, four
others +0.04, +0.32, -0.40, -0.42 %; 12 s, the first of these and one of the others -1.5, +0.4 %; 25 runs, 2 s, 0.00,
0.01, 0.00, -0.01 %; 200 runs, 8 s, -0.06 %.
"""

import math
from typing import NamedTuple

HOT = 0.6
COLD = 0.009
"""Temperatures at the beginning and the end of a cooling, in units of what a move makes worse."""

ALONE = 1 / 3
"""Share of that warmth where there is one press, whose order has moves of its own beside the chain (`reordering.py`):
being warmer was tried on several presses only. On weighted tardiness with set-ups (eleven machines of 60 jobs, 20 s)
seeds matter more: wt_sds_15 ended at 724 and 772 a third as warm, at 765 as warm as the rest."""

COOLINGS = ((0.0, 1.0), (0.5, 0.5), (0.75, 0.5))
"""Share of the budget at which each cooling begins, and its first temperature as a share of HOT."""


STARTS = (1.0, 0.35, 1.0, 0.35)
"""Where the budget is large, its first half goes to searches from the first plan, each cooled once from this share of
HOT to as much of COLD; what is left goes on from the best of them. Which optimum a cooling ends in hangs more on the
seed and on how warm it is than on how slow: S seed 9, 0.2 units, four seeds of the chain, 200 rounds: 16,022 to 16,151;
1,600 rounds: 16,028 and three times 16,109. Totals without and with these: S seeds 2, 8 and 9, 1,600 rounds, 46,754 and
46,638; S seeds 1 to 10, 160 rounds, 149,006 and 148,986; M seeds 1 to 8, 80 rounds, 344,721 and 344,339; M seeds 1 to
4, 240 rounds, 173,781 and 173,873. With a few rounds of 200 runs it lost (0.2 units, L, 24 rounds: 126,948, 130,912,
122,918 became 126,441, 130,477, 124,812)."""

SEVERAL_FROM = 60
"""Rounds from which a budget is large."""

EARLY = 0.5
"""Share of the budget for all of STARTS."""


class Place(NamedTuple):
    """Where a share of the budget is: in which start (STARTS: going on from the best of them), in which of its
    coolings, and how much of the start is done."""

    start: int
    cooling: int
    share: float


def unit_of(worse: float, presses: int) -> float:
    """What temperatures are counted in. worse: the geometric mean of what makes a plan worse."""
    return worse * (ALONE if presses == 1 else 1.0)


def starts_of(rounds: float, presses: int) -> int:
    """How many starts a budget of so many rounds is worth. One press has its order changed otherwise
    (`reordering.py`)."""
    return len(STARTS) if rounds >= SEVERAL_FROM and presses > 1 else 0


def place_of(share: float, starts: int) -> Place:
    """Where a share of the budget is, with so many starts before the last."""
    if not starts:
        return Place(0, _cooling_at(share), share)
    if share < EARLY:
        start = int(share * starts / EARLY)
        return Place(start, 0, share * starts / EARLY - start)
    last = (share - EARLY) / (1.0 - EARLY)
    return Place(starts, _cooling_at(last), last)


def _cooling_at(share: float) -> int:
    return max(n for n, (begins, _) in enumerate(COOLINGS) if begins <= share)


def temperature(share: float, unit: float, starts: int = 0) -> float:
    """Temperature at a share of the budget, in money or whatever the objective counts."""
    start, number, within = place_of(share, starts)
    if start < starts:
        return unit * HOT * STARTS[start] * math.exp(math.log(COLD / HOT) * within)
    begins, warmth = COOLINGS[number]
    ends = COOLINGS[number + 1][0] if number + 1 < len(COOLINGS) else 1.0
    along = min(1.0, (within - begins) / (ends - begins))
    first = max(HOT * warmth, 2 * COLD)
    return unit * first * math.exp(math.log(COLD / first) * along)
