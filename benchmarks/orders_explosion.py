"""Order lines exploded to shots: seconds, and seconds of processor time, for a large order book, after reading.

    python -m benchmarks.orders_explosion [orders]

The order book is the demo's, its lines repeated with fresh references up to the number asked for.
"""

import sys
import time
from pathlib import Path

from planner.campaign import Campaign
from planner.demand.items import ordered_items, run_demands

DEMO = Path(__file__).resolve().parents[1] / "examples" / "herb-planter.json"


def main() -> None:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    demo = Campaign.model_validate_json(DEMO.read_text(encoding="utf-8"))
    book = [
        demo.orders[n % len(demo.orders)].model_copy(update={"ref": f"B{n:06d}", "count": 1}) for n in range(number)
    ]
    campaign = demo.model_copy(update={"orders": book})
    ordered_items(demo)
    wall, work = time.perf_counter(), time.process_time()
    items = ordered_items(campaign)
    print(f"{number} order lines -> {sum(items.values())} parts of {len(items)} items: {_since(wall, work)}")
    wall, work = time.perf_counter(), time.process_time()
    demands = run_demands(campaign)
    shots = sum(demand.shots for demand in demands)
    print(f"{number} order lines -> {shots} shots in {len(demands)} runs: {_since(wall, work)}")


def _since(wall: float, work: float) -> str:
    return f"{time.perf_counter() - wall:.2f} s ({time.process_time() - work:.2f} s of processor)"


if __name__ == "__main__":
    main()
