"""100,000 orders from a file to the page, the paper, the workbook and the labels, through the whole service.

    python -m benchmarks.hundred_thousand [--orders 100000] [--seconds 20]

The demo campaign with that many orders, brought as a CSV table; people and press hours grow with them. A line a step:
seconds by the clock, processor seconds of every process that had to do with it (children that ended included), the most
MiB that one process had meanwhile, and that the API and the worker had with all that came of them (all proportional:
pages that several share are shared out), and MiB of the answer.
"""

import argparse
import csv
import io
import json
import random
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx2

from api.demo import DEMO
from benchmarks.soak import alone, family
from tests.live_service import LiveService, new_live_service

MAPPING = {"tier": "Tier", "colours": ["Colours"], "ref": "Order", "country": "Country", "colour_separator": ","}
LOOK = 0.1
"""Seconds between two looks at the memory."""


def processor(pid: int) -> float:
    """Seconds that a process and all that came of it worked, those that ended and were waited for among them."""
    ticks = 0
    for one in family(pid):
        try:
            ticks += sum(map(int, Path(f"/proc/{one}/stat").read_text().rpartition(")")[2].split()[11:15]))
        except OSError:
            continue
    return ticks / 100


class Steps:
    """Prints a line for each step."""

    def __init__(self, live: LiveService) -> None:
        self._live = live
        self.slowest, self.largest = 0.0, 0.0
        print(f"{'step':<34}{'s':>8}{'proc. s':>9}{'one':>7}{'API':>7}{'worker':>8}{'answer':>8}", flush=True)

    def take(self, name: str, act: Callable[[], httpx2.Response], search: bool = False) -> httpx2.Response:
        """What the step answers. search: its seconds are not counted among the slowest."""
        pids = {name: self._live.processes[name].pid for name in ("api", "worker1")}
        most, over = dict.fromkeys(("one", *pids), 0.0), threading.Event()

        def look() -> None:
            while True:
                for which, pid in pids.items():
                    each = [alone(one) for one in family(pid)]
                    most[which], most["one"] = max(most[which], sum(each)), max(most["one"], *each)
                if over.wait(LOOK):
                    return

        looking = threading.Thread(target=look)
        worked, begun = sum(map(processor, pids.values())), time.perf_counter()
        looking.start()
        answer = act()
        taken = time.perf_counter() - begun
        worked = sum(map(processor, pids.values())) - worked
        over.set()
        looking.join()
        if answer.status_code >= 300:
            sys.exit(f"{name}: {answer.status_code} {answer.text[:500]}")
        print(
            f"{name:<34}{taken:>8.2f}{worked:>9.2f}{most['one']:>7.0f}{most['api']:>7.0f}{most['worker1']:>8.0f}"
            f"{len(answer.content) / 2**20:>8.2f}",
            flush=True,
        )
        if not search:
            self.slowest = max(self.slowest, worked)
        self.largest = max(self.largest, most["one"])
        return answer


def table(document: dict[str, Any], orders: int) -> bytes:
    """The demo's own orders again and again, each for one parcel."""
    out, draw = io.StringIO(), random.Random(1)
    rows = csv.writer(out)
    rows.writerow(["Order", "Tier", "Colours", "Country"])
    for n in range(orders):
        line = draw.choice(document["orders"])
        colours = [colour for ways in line["units"].values() for colour in ways]
        rows.writerow([f"B{n:06d}", line["tier"], ", ".join(colours), line["country"]])
    return out.getvalue().encode()


def grown(document: dict[str, Any], times: float, seconds: float) -> dict[str, Any]:
    """The demo for so many times its orders: stock, people and hours enough."""
    grown = document | {"planning": {"seconds": seconds, "seed": 1}}
    for section, held in (("pieces", "stock"), ("resins", "stock_kg"), ("colours", "stock_kg")):
        grown[section] = {name: one | {held: 10_000_000} for name, one in document[section].items()}
    for bench in ("assembly", "packing"):
        grown[bench] = document[bench] | {"people": round(document[bench]["people"] * times)}
    always = {"mon-sun": "00:00-24:00"}
    grown["presses"] = {name: one | {"hours": always} for name, one in document["presses"].items()}
    return grown


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--orders", type=int, default=100_000)
    options.add_argument("--seconds", type=float, default=20, help="of searching")
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        patient = {"lease": 60.0, "heartbeat": 2.0, "overrun_grace": 300.0}
        live = new_live_service(Path(folder) / "service", **patient)
        live.real_planner = True
        try:
            live.start()
            steps = Steps(live)
            whole_way(live, steps, given)
            print(
                f"dearest step but the search {steps.slowest:.1f} processor s, largest process {steps.largest:.0f} MiB"
            )
        finally:
            live.end()


def whole_way(live: LiveService, steps: Steps, given: argparse.Namespace) -> None:
    demo = json.loads(DEMO.read_bytes())
    content = table(demo, given.orders)
    small = live.post("/v1/plans", demo | {"planning": {"rounds": 1}}).json()["id"]
    live.wait(lambda: live.get(f"/v1/plans/{small}").json()["status"] == "done", 300)
    file = {"file": ("orders.csv", content, "text/csv")}
    post, get = live.client.post, live.get
    asked = f"{live.url}/v1/plans/{small}/orders"
    steps.take(f"look at the table ({len(content) / 2**20:.1f} MiB)", lambda: post(f"{asked}/columns", files=file))
    read = steps.take("read it", lambda: post(asked, files=file, data={"mapping": json.dumps(MAPPING)})).json()
    if read["rows_taken"] != given.orders:
        sys.exit(f"{read['rows_set_aside']} rows set aside: {read['reasons'][:3]}")
    document = grown(demo, given.orders / 4000, given.seconds) | {"orders": read["orders"]}
    plan = steps.take("submit", lambda: post(f"{live.url}/v1/plans", json=document)).json()["id"]
    here, page = f"/v1/plans/{plan}", f"/plans/{plan}"

    def ended() -> httpx2.Response:
        live.wait(lambda: get(here).json()["status"] in {"done", "failed"}, 1200)
        return get(here)

    if (made := steps.take(f"plan ({given.seconds:g} s of search)", ended, search=True).json())["plan"] is None:
        sys.exit(f"no plan: {made['status']} {made['problems']}")
    for name, path in (
        ("the plan as JSON", here), ("its page", page), ("its page again", page), ("the runs", f"{page}/runs"),
        ("the parcels", f"{page}/parcels"), ("the workshop's paper as PDF", f"{here}/paper.pdf"),
        ("the workbook", f"{here}/workbook.xlsx"), ("packing list as CSV", f"{here}/lists/packing-list.csv"),
        ("labels as CSV", f"{here}/labels.csv"), ("2,000 labels as PDF", f"{here}/labels.pdf"),
        ("the campaign", f"{here}/campaign"), ("the calendar", f"{here}/calendar.ics"),
    ):  # fmt: skip
        steps.take(name, lambda path=path: get(path))  # type: ignore[misc]


if __name__ == "__main__":
    main()
