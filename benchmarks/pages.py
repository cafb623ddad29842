"""What pages and pictures weigh and how long they take, one table.

    python -m benchmarks.pages [--runs 200] [--chromium PATH] [--folder FOLDER]

Plans a generated campaign of that many run demands (kept in the folder for the next time), simulates it, serves it, and
tells of the first page and the plan page in one run: bytes as sent, requests, milliseconds to first paint and until the
page takes input, the middle of five visits; then each picture, of that plan and of one of 500 runs, over HTTP: bytes
as sent and as drawn, milliseconds of the first answer and of the quickest after it; then the PDF. Chromium is looked
for on the path; without it the browser's lines stay away.
"""

import argparse
import gzip
import os
import shutil
import tempfile
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx2
import uvicorn

from api.app import make_app
from api.pictures.slips import slips_svg
from api.service import Service
from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.slips.document import Cell, SlipRow, SlipTable, TierChange
from planner.slips.study import POLICIES, SLIPS
from tests.api.plan_fixtures import publish, simulate
from worker.queue.server import free_port
from worker.settings import Settings

VISITS = 5
SIZES = {25: "S", 70: "M", 200: "L", 500: "XL"}
FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync"]
PAINT = """() => {
  const first = performance.getEntriesByName('first-contentful-paint')[0];
  const page = performance.getEntriesByType('navigation')[0];
  const files = performance.getEntriesByType('resource');
  return [first ? first.startTime : null, page.domInteractive, page.domContentLoadedEventEnd, files.length + 1,
    page.transferSize + files.reduce((sum, file) => sum + file.transferSize, 0)];
}"""


def planned(size: str, folder: Path, rounds: int) -> tuple[Campaign, RunPlan]:
    """A campaign of that size and a plan of it, from the folder if it is there."""
    campaign = sized(size, 1)
    kept = folder / f"plan-{size}.json"
    if not kept.exists():
        short = campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": rounds})})
        kept.write_text(make_plan(short, Unhurried()).model_dump_json(by_alias=True), encoding="utf-8")
    return campaign, RunPlan.model_validate_json(kept.read_text(encoding="utf-8"))


def timed(what: Callable[[], Any], times: int = 3) -> tuple[float, float, Any]:
    """Milliseconds of the first go and of the quickest of some after it; and what came of it."""
    taken, came = [], None
    for _ in range(times + 1):
        begun = time.perf_counter()
        came = what()
        taken.append((time.perf_counter() - begun) * 1000)
    return taken[0], min(taken[1:]), came


def served(service: Service, campaign: Campaign, plan: RunPlan) -> str:
    """The plan put into the records with its promise; gives its id."""
    plan_id = publish(service, campaign, plan)
    simulate(service, plan_id, make_promise(campaign, plan, 200, cores=os.cpu_count() or 1))
    return plan_id


def pictures(address: str, plan: RunPlan, plan_id: str) -> None:
    """One line a picture the plan has, and the slip table's, every tool and piece in it."""
    client = httpx2.Client(base_url=address, timeout=60)
    listed = client.get(f"/v1/plans/{plan_id}/pictures").json()["pictures"]
    for name, where in [(one["name"], one["href"]) for one in listed]:
        first, quickest, answer = timed(lambda where=where: client.get(where).raise_for_status())  # type: ignore[misc]
        told(plan, f"{name}.svg", int(answer.headers["content-length"]), len(answer.content), first, quickest)
    table = slip_table(plan)
    first, quickest, svg = timed(lambda: slips_svg(table))
    told(plan, "slips.svg", len(gzip.compress(svg.encode(), 6)), len(svg.encode()), first, quickest)


def told(plan: RunPlan, name: str, sent: int, drawn: int, first: float, quickest: float) -> None:
    print(
        f"{len(plan.runs):>5} runs  {name:<15} {sent:>8} bytes sent {drawn:>8} drawn {first:>6.0f} ms first "
        f"{quickest:>6.0f} ms again"
    )


def slip_table(plan: RunPlan) -> SlipTable:
    """A table as large as the plan's real one, with made-up days: drawing asks nothing of where they come from."""
    rows = []
    for tool in sorted({run.tool for run in plan.runs}):
        cells = [
            Cell(
                kind="tool", name=tool, days=days, policy=policy, possible=True, audited=True, cost=0, cost_change=0,
                purge_kg_change=0, runs_moved=0,
                tiers=[
                    TierChange(tier=t.tier, before=t.last_dispatch.date(), after=t.last_dispatch.date(),
                               days=(n * days) % 15, promised=t.promised, days_late=n % 3)
                    for n, t in enumerate(plan.tiers)
                ],
            )
            for days in SLIPS
            for policy in POLICIES
        ]  # fmt: skip
        rows.append(SlipRow(kind="tool", name=tool, slack_days=0, verdict="big", harm=0, words="", cells=cells))
    return SlipTable(slips=list(SLIPS), rows=rows)


def browsed(address: str, path: str, chromium: str) -> tuple[Any, ...]:
    """First paint, interactive and ready (ms), requests, bytes: a browser that has nothing yet."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        page = browser.new_page()
        page.goto(address + path, wait_until="load")
        page.wait_for_timeout(300)
        found = tuple(page.evaluate(PAINT))
        browser.close()
    return found


def main() -> None:
    """Print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, choices=SIZES, default=200)
    options.add_argument("--most", type=int, choices=SIZES, default=500, help="runs of the pictures' larger plan")
    options.add_argument("--rounds", type=int, default=20)
    options.add_argument("--chromium", default=shutil.which("chromium"))
    options.add_argument("--folder", type=Path, default=Path("build/pages"))
    given = options.parse_args()
    given.folder.mkdir(parents=True, exist_ok=True)
    sizes = sorted({given.runs, max(given.runs, given.most)})
    plans = [planned(SIZES[size], given.folder, given.rounds) for size in sizes]
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(Settings(data=Path(folder), redis_url=f"redis://127.0.0.1:{free_port()}/0", port=port))
        ids = [served(app.state.service, campaign, plan) for campaign, plan in plans]
        server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="error"))
        threading.Thread(target=server.run, daemon=True).start()
        while not server.started:
            time.sleep(0.05)
        _, plan = plans[0]
        for name, path in {"first page": "/", "plan page": f"/plans/{ids[0]}"}.items():
            if given.chromium:
                visits = [browsed(address, path, given.chromium) for _ in range(VISITS)]
                paint, interactive, ready = (sorted(visit[n] or 0.0 for visit in visits)[VISITS // 2] for n in range(3))
                requests, sent = visits[-1][3:]
                print(
                    f"{len(plan.runs):>5} runs  {name:<15} {sent:>8} bytes sent in {requests} requests  first paint "
                    f"{paint:.0f} ms  interactive {interactive:.0f} ms  ready {ready:.0f} ms"
                )
        for (_, plan), plan_id in zip(plans, ids, strict=True):
            pictures(address, plan, plan_id)
        client = httpx2.Client(base_url=address, timeout=120)
        first, quickest, pdf = timed(lambda: client.get(f"/v1/plans/{ids[0]}/paper.pdf").raise_for_status(), 1)
        told(plans[0][1], "paper.pdf", len(pdf.content), len(pdf.content), first, quickest)
        server.should_exit = True
        time.sleep(0.5)


if __name__ == "__main__":
    main()
