"""What several resources together cannot let leave with a pick-up: a price for each.

Why: the resource that binds most saw half of what was late: at leaves of XS, seed 5, 184 where shots of
two runs together leave out 374.
"""

from planner.schedule.branch_and_bound.records import Branching
from planner.schedule.jit import inner

HOPE = 1.5
"""Prices are set again where so many times what they brought would do."""

TIGHT = 4
WHAT, FREE, SINCE, PRICE = range(TIGHT)
"""Of a resource that batches share: row of its weights, how much there is, since when (benches), its price."""

WORTHS = 5
WORTH, PAID, TAKES, BEYOND, STAYS = range(WORTHS)
"""Of a batch at a pick-up: what leaving later costs, what it pays for all resources, what it takes of one, what it is
worth beyond the others' prices, 1 where it has not been left out."""


@inner
def lagrangian_bound(tables: Branching, n: int, k: int, number: int, missing: float) -> float:
    """Worth of what all resources together cannot let leave with pick-up k.

    A price for each resource gives a bound: what batches are worth, or pay if that is less, less what all there is of
    each resource would bring. Prices are set one by one, twice, beginning from either end, as long as what is `missing`
    is within reach.
    """
    tight, worths, sent, penalty = tables.tight, tables.worths, tables.sent, tables.penalty
    if number == 0:
        return 0.0
    batches = sent.shape[1]
    for b in range(batches):
        worths[WORTH, b] = max(0.0, penalty[b, k + 1] - penalty[b, k]) if sent[n, b] <= k else 0.0
    best = 0.0
    for upwards in range(2 if number > 1 else 1):
        for b in range(batches):
            worths[PAID, b] = 0.0
        for i in range(number):
            tight[i, PRICE] = 0.0
        for _ in range(2 if number > 1 else 1):
            for turn in range(number):
                _price(tables, n, turn if upwards else number - 1 - turn)
            money = 0.0
            for b in range(batches):
                money += min(worths[WORTH, b], worths[PAID, b])
            for i in range(number):
                money -= tight[i, PRICE] * max(0.0, tight[i, FREE])
            best = max(best, money)
            if best >= missing or best * HOPE < missing:
                return best
    return best


@inner
def _price(tables: Branching, n: int, i: int) -> None:
    """Ask the best price for resource i, the others' as they are: what is worth least for its weight stays."""
    tight, worths, weight, standing = tables.tight, tables.worths, tables.weight, tables.standing
    what, since, price = int(tight[i, WHAT]), tight[i, SINCE], tight[i, PRICE]
    side = 1 if what == 2 else 0
    excess = -max(0.0, tight[i, FREE])
    for b in range(weight.shape[1]):
        worths[TAKES, b] = weight[what, b] if standing[n + 1, side, b] >= since else 0.0
        worths[PAID, b] -= price * worths[TAKES, b]
        worths[BEYOND, b] = max(0.0, worths[WORTH, b] - worths[PAID, b])
        worths[STAYS, b] = 1.0 if worths[BEYOND, b] > 0.0 and worths[TAKES, b] > 0.0 else 0.0
        excess += worths[STAYS, b] * worths[TAKES, b]
    price = 0.0
    while excess > 0.0:
        least = -1
        for b in range(weight.shape[1]):
            if worths[STAYS, b] > 0.0 and (
                least < 0 or worths[BEYOND, b] * worths[TAKES, least] < worths[BEYOND, least] * worths[TAKES, b]
            ):
                least = b
        if least < 0:
            break
        price = worths[BEYOND, least] / worths[TAKES, least]
        excess -= worths[TAKES, least]
        worths[STAYS, least] = 0.0
    tight[i, PRICE] = price
    for b in range(weight.shape[1]):
        worths[PAID, b] += price * worths[TAKES, b]
