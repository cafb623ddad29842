"""Random order books planned and reconciled by sums of another hand: how many hold, and how much was added up.

    python -m benchmarks.orders_reconcile [order books]

Rules A7, A8, A10 and A11; the auditor has passed each plan before.
"""

import sys
import time

from tests.support.order_books import planned
from tests.support.reconciliation import differences


def main() -> None:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    held = parcels = shots = without = 0
    start = time.perf_counter()
    for seed in range(number):
        made = planned(seed)
        if made is None:
            without += 1
            continue
        found = differences(*made)
        for told in found[:3]:
            print(f"order book {seed}: {told}")
        held += not found
        parcels += sum(dispatch.parcels for dispatch in made[1].dispatches)
        shots += sum(run.shots for run in made[1].runs)
    seconds = time.perf_counter() - start
    print(f"{number} order books: {held} reconcile, {number - held - without} do not, {without} have no plan")
    print(f"{parcels} parcels and {shots} shots accounted for in {seconds:.0f} s, planning included")


if __name__ == "__main__":
    main()
