"""A browser, the service with plans in it, and axe for what a machine can judge of a page."""

import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from api.service import Service
from tests.api.app_client import served
from tests.api.plan_fixtures import publish_pots
from tests.live_service import LiveService, forked_service

ROOT = Path(__file__).resolve().parents[2]
SHOTS = ROOT / "build" / "screenshots"
KEPT = bool(os.environ.get("SCREENSHOTS"))
"""Whether pictures are kept for people to look at: to paint a page as wide as a wall takes longer than all else."""
SIZES = {"phone": (320, 700), "desk": (1280, 800), "wall": (3840, 2160)}
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
]  # fmt: skip
GRAVE = {"serious", "critical"}
LONGEST_WAIT = 90_000
"""Milliseconds for a page to be there: on a busy machine a large one takes more than the usual half minute."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium as the system packages it, or as CHROMIUM names it.

    For each file anew: while it runs there is an event loop in this thread, beside which other tests can run none.
    """
    path = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    assert path, "no chromium: install the system's package, or name its program in CHROMIUM"
    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield started
        started.close()


@pytest.fixture(scope="module")
def seeded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Service]]:
    """The service in a thread, its queue away; gives its address."""
    with served(tmp_path_factory.mktemp("seeded")) as started:
        yield started


@pytest.fixture(scope="module")
def pots(seeded: tuple[str, Service]) -> str:
    """The address of the hand-worked plan's page."""
    return f"{seeded[0]}/plans/{publish_pots(seeded[1])}"


@pytest.fixture
def open_page(browser: Browser) -> Iterator[Callable[..., Page]]:
    """Opens pages that fail the test on any error in them, and on any request to elsewhere."""
    contexts, faults = [], []

    def opened(size: str = "desk", **options: Any) -> Page:
        width, height = SIZES[size]
        seen = {"viewport": {"width": width, "height": height}, "locale": "en-GB"}
        context = browser.new_context(**(seen | options))
        context.set_default_navigation_timeout(LONGEST_WAIT)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(f"script: {error}"))
        page.on(
            "console",
            lambda said: faults.append(said.text) if said.type == "error" and "status of 4" not in said.text else None,
        )
        page.on(
            "request",
            lambda asked: None if asked.url.startswith("http://127.0.0.1:") else faults.append(f"asked {asked.url}"),
        )
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []


@pytest.fixture(scope="module")
def real_service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveService]:
    """Broker, API and one worker with the real planner, ready."""
    yield from _served(tmp_path_factory.mktemp("real") / "service")


@pytest.fixture(scope="module")
def brief_service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveService]:
    """The same, where no plan is searched for longer than a second and a half, whatever its campaign asks for: for
    stories that go from one plan to the next, none of them stopped by hand."""
    yield from _served(tmp_path_factory.mktemp("brief") / "service", largest_budget=1.5)


def _served(folder: Path, **changes: float) -> Iterator[LiveService]:
    live = forked_service(folder, overrun_grace=60.0, **changes)  # a busy machine is no fault of a plan
    live.real_planner = True
    live.start()
    yield live
    live.end()


def say_it_is_right(page: Page) -> None:
    """Answers the form where it asks about days that are over by now; goes on where it asks nothing."""
    page.wait_for_load_state()
    asked = page.locator('[name="sure"]')
    for box in asked.all():
        box.check()
    if asked.count():
        page.get_by_role("button", name="Plan it").last.click()


def judged(page: Page, name: str, axe: bool = True, size: str = "") -> None:
    """Nothing wider than the window and, if asked, no serious finding of axe; keeps a screenshot if they
    are wanted.

    size: in a window of that size, afterwards in the one before."""
    before = page.viewport_size
    if size:
        width, height = SIZES[size]
        page.set_viewport_size({"width": width, "height": height})
    _judged(page, name, axe)
    if size and before:
        page.set_viewport_size(before)


def unfolded(page: Page) -> None:
    """All that is folded is shown."""
    page.evaluate("for (const one of document.querySelectorAll('details')) one.open = true")


def kept(page: Page, name: str, whole: bool = False) -> None:
    """A screenshot, where SCREENSHOTS says that they are wanted."""
    if KEPT:
        SHOTS.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=SHOTS / f"{name}.png", full_page=whole)


def _judged(page: Page, name: str, axe: bool) -> None:
    whole = (page.viewport_size or {"width": 0})["width"] <= SIZES["desk"][0]  # what a wall shows is large enough
    kept(page, name, whole)
    wider = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert wider <= 0, f"{name} is {wider} px wider than the window"
    if not axe:
        return
    found = Axe().run(page, options={"resultTypes": ["violations"]})
    grave = [
        {"id": one["id"], "help": one["help"], "where": [node["html"][:200] for node in one["nodes"][:3]]}
        for one in found.response["violations"]
        if one["impact"] in GRAVE
    ]
    assert grave == [], json.dumps(grave, indent=1)
