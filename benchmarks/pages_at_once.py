"""Pages of large plans a second, many asked for at once, and how long it takes meanwhile to say that the process lives.

    python -m benchmarks.pages_at_once [--seconds 10] [--clients 8] [--plans 12] [--processes 1 2] [--folder FOLDER]

One plan of 200 run demands under that many ids, so that each is read, parsed and drawn for itself; the first visit of
each is not counted. A line for each number of API processes: pages a second, p50 and p99, processor milliseconds a page
of all processes, p99 of /v1/live. Beside it a loop of additions, by the clock and of processor time: where the two are
far apart the machine has other work, and only the processor time of a page can be read.
"""

import argparse
import random
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx2

from api.app import make_app
from benchmarks.load import measure, start_apis
from benchmarks.pages import planned
from planner.campaign import Campaign
from planner.plan import RunPlan
from tests.api.plan_fixtures import publish
from tests.live_service import new_live_service

Made = tuple[Campaign, RunPlan]


def loop() -> tuple[float, float]:
    """Milliseconds of ten million additions, by the clock and of processor time."""
    begun, worked = time.perf_counter(), time.process_time()
    sum(range(10**7))
    return (time.perf_counter() - begun) * 1000, (time.process_time() - worked) * 1000


def alive(url: str, over: threading.Event, times: list[float]) -> None:
    """Ask whether the process lives, fifty times a second until it is over; milliseconds of each answer."""
    with httpx2.Client(trust_env=False, timeout=60) as client:
        while not over.wait(0.02):
            begun = time.perf_counter()
            client.get(f"{url}/v1/live").raise_for_status()
            times.append((time.perf_counter() - begun) * 1000)


def one(made: Made, folder: Path, processes: int, given: argparse.Namespace) -> None:
    """Prints the line for so many processes."""
    live = new_live_service(folder / f"{processes}")
    live.start_broker()
    service = make_app(live.settings).state.service
    pages = [f"{live.url}/plans/{publish(service, *made)}" for _ in range(given.plans)]
    pids = start_apis(live, processes)
    chance, over, lives = random.Random(1), threading.Event(), list[float]()

    @contextmanager
    def visitor() -> Iterator[Callable[[], object]]:
        with httpx2.Client(trust_env=False, timeout=60) as client:
            yield lambda: client.get(chance.choice(pages)).raise_for_status()

    asking = threading.Thread(target=alive, args=(live.url, over, lives), daemon=True)
    try:
        for page in 2 * processes * pages:  # each time by another connection, so that every process has parsed them
            httpx2.get(page, timeout=600, trust_env=False).raise_for_status()
        measure(visitor, given.clients, given.seconds / 2, pids)
        asking.start()
        it = measure(visitor, given.clients, given.seconds, pids)
        over.set()
        asking.join()
        lives.sort()
        clock, worked = loop()
        print(
            f"{processes:<5}{it.rate:>8.1f}{it.p50:>9.0f}{it.p99:>9.0f}{it.taken:>9.1f}"
            f"{lives[int(len(lives) * 0.99)]:>13.1f}{clock:>9.0f}{worked:>9.0f}",
            flush=True,
        )
    finally:
        over.set()
        live.end()
        service.database.close()


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--seconds", type=float, default=10)
    options.add_argument("--clients", type=int, default=8)
    options.add_argument("--plans", type=int, default=12)
    options.add_argument("--processes", type=int, nargs="+", default=[1, 2], help="API processes on one door")
    options.add_argument("--folder", type=Path, default=Path("build/pages"), help="where the plan is kept")
    given = options.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    made = planned("L", given.folder, 20)
    print(
        f"{'apis':<5}{'per s':>8}{'p50 ms':>9}{'p99 ms':>9}{'cpu ms':>9}{'live p99 ms':>13}{'loop ms':>9}{'cpu ms':>9}"
    )
    with tempfile.TemporaryDirectory() as folder:
        for processes in given.processes:
            one(made, Path(folder), processes, given)


if __name__ == "__main__":
    main()
