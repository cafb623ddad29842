"""An hour of twenty workshops' mixed work at an easy pace: whether memory or files grow beyond what is kept.

    python -m benchmarks.soak [--minutes 60] [--workshops 20] [--pause 0.7] [--kept 6] [--seed 1]

The workers' planner is the tests' double, so that the machine is left to others: what is looked at is the service.
Each workshop submits campaigns (some of them bad), looks at pages, pictures, paper, workbook and lists, hands in tables
of orders, and deletes its oldest plans, so that what the records hold stays the same. A line every two minutes: MiB of
each process (proportional, with its children), of the records and of everything else in the folder. Ends by itself.
"""

import argparse
import itertools
import random
import sys
import tempfile
import time
from collections import Counter, deque
from pathlib import Path

import httpx2

from tests.live_service import LiveService, new_live_service
from tests.support.pot_campaign import CAMPAIGN
from worker.records import keys, workshops
from worker.records.database import Database

PLAN_LEAVES = ("", "/runs", "/parcels", "/buying", "/paper", "/purge", "/press", "/slips", "/what-if", "/change")
FILES = ("/paper.pdf", "/workbook.xlsx", "/calendar.ics", "/lists/runs.csv", "/labels.csv", "/campaign", "/paper", "")
TABLE = "Order;Tier;Colour;Country\r\n" + "".join(f"A{n};one;sage;DE\r\n" for n in range(200))
EVERY = 120.0
"""Seconds between two lines."""
MAY_GROW = 1.10
"""Mean of the last quarter over that of the second: in the first, caches fill."""


class Soak:
    """The visitors of one service."""

    def __init__(self, live: LiveService, names: list[dict[str, str]], kept: int, seed: int) -> None:
        self._live, self._kept, self._draw = live, kept, random.Random(seed)
        self._workshops: list[tuple[dict[str, str], deque[str]]] = [(headers, deque()) for headers in names]
        self.answered: Counter[str] = Counter()
        self._numbers = itertools.count()

    def act(self) -> None:
        """One thing that somebody does."""
        headers, plans = self._draw.choice(self._workshops)
        what = self._draw.choices(("submit", "bad", "page", "file", "orders", "list"), (3, 1, 6, 3, 1, 2))[0]
        if what == "submit" or not plans:
            what = "submit"
            document = CAMPAIGN | {"name": f"pots {next(self._numbers)}"}
            answer = self._post("/v1/plans", headers, json=document)
            plans.append(answer.json()["id"])
            if len(plans) > self._kept:
                self._delete(headers, plans.popleft())
        elif what == "bad":
            answer = self._post("/v1/plans", headers, json=CAMPAIGN | {"name": "bad", "tools": {}})
        elif what == "orders":
            path = f"/v1/plans/{self._draw.choice(plans)}/orders/columns"
            answer = self._post(path, headers, files={"file": ("orders.csv", TABLE.encode(), "text/csv")})
        elif what == "list":
            answer = self._live.get(self._draw.choice(("/v1/plans", "/v1/live", "/v1/ready")), headers=headers)
        else:
            leaves, before = (PLAN_LEAVES, "/plans/") if what == "page" else (FILES, "/v1/plans/")
            path = before + self._draw.choice(plans) + self._draw.choice(leaves)
            answer = self._live.get(path, headers=headers)
        self.answered[f"{what} {answer.status_code}"] += 1

    def _post(self, path: str, headers: dict[str, str], **sent: object) -> httpx2.Response:
        return self._live.client.post(self._live.url + path, headers=headers, **sent)  # type: ignore[arg-type]

    def _delete(self, headers: dict[str, str], plan: str) -> None:
        path = f"/v1/plans/{plan}"
        edition = self._live.get(path, headers=headers).headers.get("etag", "")
        answer = self._live.client.delete(self._live.url + path, headers=headers | {"If-Match": edition})
        self.answered[f"delete {answer.status_code}"] += 1


def family(pid: int) -> list[int]:
    """A process and all that came of it."""
    found = [pid]
    for one in found:
        for task in Path(f"/proc/{one}/task").glob("*/children"):
            try:
                found += [int(child) for child in task.read_text().split()]
            except OSError:
                continue
    return found


def alone(pid: int) -> float:
    """MiB of a process without its children, 0 where it is gone; pages that several share are shared out."""
    try:
        told = Path(f"/proc/{pid}/smaps_rollup").read_text()
    except OSError:
        return 0.0
    return next((int(line.split()[1]) for line in told.splitlines() if line.startswith("Pss:")), 0) / 1024


def proportional(pid: int) -> float:
    """The same of a process and all that came of it."""
    return sum(map(alone, family(pid)))


def sizes(folder: Path) -> tuple[float, float]:
    """MiB of the records, and of everything else in the folder."""
    records = other = 0
    for file in folder.rglob("*"):
        try:
            size = file.stat().st_size if file.is_file() else 0
        except OSError:
            continue
        if file.name.startswith("records.sqlite"):
            records += size
        else:
            other += size
    return records / 2**20, other / 2**20


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--minutes", type=float, default=60)
    options.add_argument("--workshops", type=int, default=20)
    options.add_argument("--pause", type=float, default=0.7, help="seconds between two requests, on average")
    options.add_argument("--kept", type=int, default=6, help="plans of a workshop")
    options.add_argument("--seed", type=int, default=1)
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        live = new_live_service(Path(folder) / "service", lease=15.0, heartbeat=2.0)
        try:
            live.start()
            live.start_worker("worker2", "small")
            sys.exit(not soak(live, given))
        finally:
            live.end()


def soak(live: LiveService, given: argparse.Namespace) -> bool:
    """Whether memory and files stay as they are once caches are full."""
    database, names = Database(live.settings.database), []
    for number in range(given.workshops):
        workshop = workshops.ensure(database, f"workshop {number}", time.time())
        with database.write() as connection:
            _, text = keys.make(connection, workshop, "soak", keys.SCOPES, time.time())
        names.append({"Authorization": f"Bearer {text}"})
    database.close()
    visitors, draw = Soak(live, names, given.kept, given.seed), random.Random(given.seed)
    seen: dict[str, list[float]] = {}
    begun = told = time.monotonic()
    print(f"{'minutes':>8}" + "".join(f"{name:>10}" for name in (*live.processes, "records", "others")), flush=True)
    while time.monotonic() < begun + 60 * given.minutes:
        visitors.act()
        time.sleep(draw.expovariate(1 / given.pause))
        if time.monotonic() >= told:
            told += EVERY
            now = {name: proportional(process.pid) for name, process in live.processes.items()}
            now["records"], now["others"] = sizes(live.settings.data)
            for name, size in now.items():
                seen.setdefault(name, []).append(size)
            line = "".join(f"{size:>10.1f}" for size in now.values())
            print(f"{(time.monotonic() - begun) / 60:>8.1f}{line}", flush=True)
    print("answered:", ", ".join(f"{n} {what}" for what, n in sorted(visitors.answered.items())))
    holds = not any(what.split()[1].startswith("5") for what in visitors.answered)
    for name, those in seen.items():
        second, last = those[len(those) // 4 : len(those) // 2], those[-max(1, len(those) // 4) :]
        grown = (sum(last) / len(last)) / (sum(second) / len(second)) if second else 1.0
        print(f"{name}: {grown:.3f} times what it was in the second quarter")
        holds &= name == "others" or grown <= MAY_GROW  # logs are cut by whoever serves, which is not here
    print("level" if holds else "GROWS or fails")
    return holds


if __name__ == "__main__":
    main()
