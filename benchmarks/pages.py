"""What pages and pictures weigh and how long they take, one table.

    python -m benchmarks.pages [--runs 200] [--chromium PATH] [--folder FOLDER]

Plans a generated campaign of that many run demands (kept in the folder for the next time), serves it, and tells of the
first page and the plan page: bytes as sent, requests, milliseconds to first paint and until the page takes input;
then each picture's bytes and milliseconds, for that plan and for one of 500 runs; then the PDF. Chromium is looked for
on the path; without it the browser's columns stay empty.
"""

import argparse
import shutil
import tempfile
import threading
import time
from pathlib import Path
from typing import Any

import uvicorn

from api.app import make_app
from api.paper.setting import print_pdf
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from api.pictures.cost import cost_svg
from api.pictures.dispatches import dispatch_svg
from api.pictures.floor import floor_svg
from api.pictures.path import path_svg
from api.pictures.stock import stock_svg
from benchmarks.generator import sized
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.plan.make import make_plan
from tests.api.shelf import publish
from worker.queue.server import free_port
from worker.settings import Settings

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


def timed(what: Any, times: int = 3) -> tuple[float, Any]:
    """Milliseconds of the quickest of some goes, after one to warm up; and what came of it."""
    came, quickest = what(), float("inf")
    for _ in range(times):
        begun = time.perf_counter()
        came = what()
        quickest = min(quickest, (time.perf_counter() - begun) * 1000)
    return quickest, came


def pictures(campaign: Campaign, plan: RunPlan) -> None:
    """One line a picture."""
    for name, drawing in {
        "floor": lambda: floor_svg(plan, campaign),
        "path": lambda: path_svg(plan, campaign),
        "stock": lambda: stock_svg(plan, campaign),
        "dispatches": lambda: dispatch_svg(plan),
        "cost": lambda: cost_svg(plan),
    }.items():
        milliseconds, svg = timed(drawing)
        print(f"{len(plan.runs):>5} runs  {name + '.svg':<16} {len(svg.encode()):>9} bytes {milliseconds:>8.0f} ms")


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
    campaign, plan = planned(SIZES[given.runs], given.folder, given.rounds)
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        app = make_app(Settings(data=Path(folder), redis_url=f"redis://127.0.0.1:{free_port()}/0", port=port))
        plan_id = publish(app.state.service, campaign, plan)
        server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="error"))
        threading.Thread(target=server.run, daemon=True).start()
        while not server.started:
            time.sleep(0.05)
        for name, path in {"first page": "/", "plan page": f"/plans/{plan_id}"}.items():
            if given.chromium:
                browsed(f"http://127.0.0.1:{port}", path, given.chromium)
                paint, interactive, ready, requests, sent = browsed(f"http://127.0.0.1:{port}", path, given.chromium)
                print(
                    f"{len(plan.runs):>5} runs  {name:<16} {sent:>9} bytes {requests:>2} requests  "
                    f"first paint {paint or 0:.0f} ms  interactive {interactive:.0f} ms  ready {ready:.0f} ms"
                )
        server.should_exit = True
        time.sleep(0.5)
    pictures(campaign, plan)
    if given.most > given.runs:
        pictures(*planned(SIZES[given.most], given.folder, given.rounds))
    milliseconds, pdf = timed(
        lambda: print_pdf(write_paper(plan, campaign, 1, "http://127.0.0.1/plans/x"), swatches(campaign), "a4"), 1
    )
    print(f"{len(plan.runs):>5} runs  {'paper.pdf':<16} {len(pdf):>9} bytes {milliseconds:>8.0f} ms")


if __name__ == "__main__":
    main()
