"""How long a maker's tasks take by script, without thinking, and how many clicks: one table.

    python -m benchmarks.tasks [--chromium PATH] [--only WORDS]

The service runs as processes of its own with one worker and the real planner; a browser does each task as a person
would, on the pages as they are. Clicks are buttons, links and choices; typing is counted in fields. Seconds run from
the first page to the answer, the planner's time included. The messy export is that of the
tests, 2,400 orders with every kind of mess they know; its task is done when the first plan stands.
"""

import argparse
import json
import os
import re
import shutil
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Locator, Page, ViewportSize, expect, sync_playwright

from tests.live_service import LiveService, new_live_service
from tests.support.messy_orders import COLOURS, MAPPING, SAUCER_COLOURS, messy_table

FLAGS = ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-sync"]
PATIENCE = 300_000
"""Milliseconds that a busy machine may take for one answer."""
PHONE: ViewportSize = {"width": 390, "height": 844}


@dataclass
class Hand:
    """Counts what a person does on a page."""

    page: Page
    clicks: int = 0
    fields: int = 0
    begun: float = field(default_factory=time.monotonic)

    def click(self, what: Locator) -> None:
        what.click()
        self.clicks += 1

    def choose(self, what: Locator, **option: Any) -> None:
        what.select_option(**option)
        self.clicks += 1

    def type(self, what: Locator, text: str) -> None:
        what.fill(text)
        self.fields += 1

    def take(self, what: Locator, name: str, content: bytes) -> None:
        """Chooses a file."""
        what.set_input_files({"name": name, "mimeType": "text/csv", "buffer": content})
        self.clicks += 1

    def planned(self) -> str:
        """Waits for the plan's own page; gives its id."""
        self.page.wait_for_url(re.compile(r"/plans/[0-9a-z]+$"), timeout=PATIENCE)
        expect(self.page.get_by_role("heading", name="Will I keep my promises?")).to_be_visible(timeout=PATIENCE)
        return self.page.url.rpartition("/")[2]


def own_plan(hand: Hand, live: LiveService, known: dict[str, str]) -> None:
    """First own plan, written over the example."""
    page = hand.page
    page.goto(f"{live.url}/start")
    hand.click(page.get_by_role("link", name="Write over an example"))
    for name, text in (("name", "My own pots"), ("tools.0.cycle_s", "41 s"), ("presses.0.rate_per_hour", "€60")):
        hand.type(page.locator(f'[id="{name}"]'), text)
    hand.click(page.get_by_role("button", name="Plan it").last)
    known["own"] = hand.planned()


def cycle_time(hand: Hand, live: LiveService, known: dict[str, str]) -> None:
    """Correct a cycle time."""
    page = hand.page
    page.goto(f"{live.url}/plans/{known['own']}")
    hand.click(page.get_by_role("link", name="tools and cycle times"))
    hand.type(page.locator('[id="tools.0.cycle_s"]'), "38")
    hand.click(page.get_by_role("button", name="Plan with these changes").last)
    hand.planned()


def tool_late(hand: Hand, live: LiveService, known: dict[str, str]) -> None:
    """The tool is ten days late."""
    page = hand.page
    page.goto(f"{live.url}/plans/{known['own']}")
    hand.click(page.get_by_role("link", name="What if"))
    hand.type(page.get_by_label("pot and saucer", exact=True).first, "10")
    hand.click(page.get_by_role("button", name="Plan with this change").last)
    hand.planned()


def log_a_shift(hand: Hand, live: LiveService, known: dict[str, str]) -> None:
    """Log a shift on a phone: shots with scrap, a stop, and when."""
    page = hand.page
    page.set_viewport_size(PHONE)
    page.goto(f"{live.url}/plans/{known['own']}")
    hand.click(page.get_by_text("all pages of this plan"))
    hand.click(page.get_by_role("link", name="At the press"))
    hand.type(page.get_by_label("Shots since the last entry"), "90")
    hand.type(page.get_by_label("Of them scrap").first, "3")
    hand.click(page.get_by_role("button", name="Write shots down"))
    expect(page.get_by_text("Written down: shots")).to_be_visible(timeout=PATIENCE)
    hand.type(page.get_by_label("For how many hours"), "0.5")
    hand.click(page.get_by_role("button", name="Write stop down"))
    expect(page.get_by_text("the press stood still")).to_be_visible(timeout=PATIENCE)


def send_update(hand: Hand, live: LiveService, known: dict[str, str]) -> None:
    """Send an update."""
    page = hand.page
    page.goto(f"{live.url}/plans/{known['own']}")
    hand.click(page.get_by_role("link", name="Update", exact=True))
    hand.type(page.get_by_label("What you want to add"), "The first colours are moulded.")
    hand.click(page.get_by_role("button", name="Write a draft"))
    while page.get_by_role("textbox", name="Draft").count() == 0:
        expect(page.get_by_text("Dates are simulated and ready.")).to_be_visible(timeout=PATIENCE)
        hand.click(page.get_by_role("button", name="Write a draft"))
        page.wait_for_load_state()
    hand.click(page.get_by_role("button", name="I have sent it: keep it as sent"))
    expect(page.get_by_text("Nothing yet. The first update")).to_have_count(0, timeout=PATIENCE)


def messy_export(hand: Hand, live: LiveService, known: dict[str, str]) -> None:
    """First plan from the messy export of 2,400 orders, from choosing the file."""
    page = hand.page
    page.goto(f"{live.url}/start")
    document = json.dumps(planters()).encode()
    page.locator("#with").set_input_files({"name": "c.json", "mimeType": "application/json", "buffer": document})
    hand.begun = time.monotonic()
    hand.take(page.locator("#table"), "export.csv", messy_table(1, 2400).content)
    hand.click(page.get_by_role("button", name="Look at its columns"))
    meant = {MAPPING.tier: "tier", MAPPING.ref: "ref", MAPPING.country: "country", MAPPING.count: "count"}
    meant |= {MAPPING.colours[0]: "colour", MAPPING.add_on_texts[0]: "add-ons", MAPPING.status: "status"}
    for heading, meaning in meant.items():
        box = page.locator("#columns").get_by_label(str(heading), exact=True)
        if box.input_value() != meaning:
            hand.choose(box, value=meaning)
    for _ in range(3):  # statuses are shown once their column is named, words once rows are read
        for row in page.locator("table:has([name=status_use]) tbody tr").all():
            box, value = row.locator("select"), row.locator("input").input_value()
            if not box.input_value():
                hand.choose(box, value="counts" if value.casefold() in MAPPING.counts else "not")
        for row in page.locator('section[aria-labelledby="unknown"] tbody tr').all():
            box, wording = row.locator("select"), row.locator("label").inner_text()
            meaning = next((words[wording] for words in MAPPING.wordings.values() if wording in words), "")
            if meaning and not box.input_value():
                hand.choose(box, label=meaning)
        hand.click(page.get_by_role("button", name="Check all rows").last)
        page.wait_for_load_state()
        if (
            page.get_by_text("What was found").count()
            and not page.locator('section[aria-labelledby="unknown"]').count()
        ):
            break
    hand.click(page.get_by_label("Plan without the rows set aside"))
    hand.click(page.get_by_role("button", name="Plan with these orders"))
    hand.planned()


def planters() -> dict[str, Any]:
    """A small workshop for what the messy export orders; invented."""
    look = {"oat": "#e8dcc0", "kelp": "#3f5a4a", "night-sky": "#20283c", "salt-pepper": "#9a9890"}
    ways = {"planter": COLOURS, "saucer": SAUCER_COLOURS}
    return {
        "document": "campaign/1", "name": "Planters", "currency": "GBP", "time_zone": "Europe/London",
        "start": "2027-01-11T06:00", "planning": {"seconds": 20},
        "presses": {"big": {"clamp_kn": 1600, "barrels": [{"holdup_kg": 0.8, "shot_max_g": 420, "clean": True}],
                            "hours": {"mon-fri": "06:00-22:00"}, "rate_per_hour": 55}},
        "resins": {"pp": {"family": "PP", "price_per_kg": 2, "lead_days": 3}},
        "colours": {name: {"hex": hex_, "price_per_kg": 12, "lead_days": 3} for name, hex_ in look.items()},
        "parts": {name: {"barrels": [{"resin": "pp", "mass_g": grams}]} for name, grams in
                  (("planter", 62), ("saucer", 24))},
        "tools": {name: {"cavities": {name: 2}, "cycle_s": 40, "clamp_kn": 700, "presses": ["big"]} for name in ways},
        "pieces": {name: {"price": 0.2, "lead_days": 5} for name in ("leaflet", "felt-mat")},
        "products": {name: {"parts": {name: 1}, "assembly_minutes": 0.5,
                            "colourways": {way: {name: [way]} for way in each}} for name, each in ways.items()},
        "tiers": {"solo": {"units": {"planter": 1}}, "pair": {"units": {"planter": 2}},
                  "windowsill": {"units": {"planter": 2, "saucer": 1}}},
        "assembly": {"people": 2, "hours": {"mon-fri": "08:00-16:00"}},
        "packing": {"people": 2, "hours": {"mon-fri": "08:00-16:00"}},
        "pick_ups": {"days": ["tue", "fri"], "time": "16:00"},
    }  # fmt: skip


Task = Callable[[Hand, LiveService, dict[str, str]], None]
TASKS: tuple[Task, ...] = (own_plan, cycle_time, tool_late, log_a_shift, send_update, messy_export)


def measure(browser: Browser, live: LiveService, only: str) -> None:
    known: dict[str, str] = {}
    print(f"{'task':70}{'clicks':>7}{'fields':>7}{'seconds':>9}")
    for task in TASKS:
        words = (task.__doc__ or "").strip().rstrip(".")
        if only and only not in words and task is not own_plan:
            continue
        page = browser.new_context(viewport={"width": 1280, "height": 800}, locale="en-GB").new_page()
        hand = Hand(page)
        task(hand, live, known)
        seconds = time.monotonic() - hand.begun
        print(f"{words:70}{hand.clicks:7}{hand.fields:7}{seconds:9.1f}", flush=True)
        page.context.close()


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--chromium", default=os.environ.get("CHROMIUM") or shutil.which("chromium") or "")
    options.add_argument("--only", default="", help="words of the tasks to do, after the first plan")
    given = options.parse_args()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        live = new_live_service(Path(folder) / "service")
        live.real_planner = True
        live.start()
        browser = playwright.chromium.launch(executable_path=given.chromium, args=FLAGS)
        try:
            measure(browser, live, given.only)
        finally:
            browser.close()
            live.end()


if __name__ == "__main__":
    main()
