"""How long a plan goes on after it was asked to stop, through the whole service: API, records, worker, planner.

python benchmarks/stopping.py [--stops 10] [--sizes S M L]
From the POST to the moment the answer says done, read every 20 ms: by then the search has ended and the best plan is
written, audited and kept. The planner is the real one, in its search.
XS is left out: it is proven before one can stop it.
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from benchmarks.generator import sized
from tests.live_service import LiveService, new_live_service


def stopped(live: LiveService, size: str, seed: int) -> float:
    """Seconds from the request to stop to the plan."""
    campaign = sized(size, seed).model_dump(mode="json", by_alias=True, exclude_unset=True)
    campaign["planning"] = {"seconds": 300}
    here = live.post("/v1/plans", campaign).headers["location"]
    live.wait(lambda: (live.get(here).json()["progress"]["share"] or 0) > 0.01, 120)
    begun = time.perf_counter()
    assert live.post(f"{here}/stop").status_code == 202
    while live.get(here).json()["status"] == "running":
        time.sleep(0.02)
    taken = time.perf_counter() - begun
    answer = live.get(here).json()
    assert answer["ended_because"] == "stopped", answer["ended_because"]
    assert answer["plan"]["audit"]["holds"]
    return taken


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--stops", type=int, default=10)
    options.add_argument("--sizes", nargs="+", default=["S", "M", "L"])
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        live = new_live_service(Path(folder) / "service")
        live.real_planner = True
        try:
            live.start()
            print(f"{'size':<6}{'stops':>6}{'median s':>10}{'longest s':>11}")
            for size in given.sizes:
                times = sorted(stopped(live, size, seed) for seed in range(1, given.stops + 1))
                print(f"{size:<6}{len(times):>6}{median(times):>10.2f}{times[-1]:>11.2f}", flush=True)
        finally:
            live.end()


if __name__ == "__main__":
    main()
