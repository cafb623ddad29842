"""Every page at three sizes: axe has no serious finding, nothing is cut off, nothing comes from elsewhere."""

import json

import pytest

from tests.api.shelf import waiting
from tests.browser.conftest import SIZES, judged
from tests.planner_double import SMALL_CAMPAIGN

pytestmark = pytest.mark.browser
LEAVES = (
    "",
    "/press",
    "/promises",
    "/update",
    "/runs",
    "/parcels",
    "/buying",
    "/purge",
    "/pictures",
    "/paper",
    "/orders",
)
ALONE = ("/", "/start", "/start/form", "/start/document", "/sign-in", "/plans/00000000000000000000000000")


@pytest.mark.parametrize("size", SIZES)
def test_pages_of_a_plan(open_page, pots, size):
    """The plan and all its leaves."""
    page = open_page(size)
    for leaf in LEAVES:
        page.goto(f"{pots}{leaf}")
        judged(page, f"plan{leaf.replace('/', '-')}-{size}", axe=size != "wall")


@pytest.mark.parametrize("size", SIZES)
def test_pages_that_belong_to_no_plan(open_page, seeded, pots, size):
    """First page, starting, signing in, and the page for what is not there."""
    page = open_page(size)
    for address in ALONE:
        page.goto(f"{seeded[0]}{address}")
        judged(page, f"{address.strip('/').replace('/', '-') or 'home'}-{size}", axe=size != "wall")


def test_a_plan_being_made(open_page, seeded):
    """While it waits, on the phone."""
    plan_id = waiting(seeded[1], json.dumps(SMALL_CAMPAIGN), "waits")
    page = open_page("phone")
    page.goto(f"{seeded[0]}/plans/{plan_id}")
    judged(page, "being-made-phone")


def test_at_320_pixels_nothing_is_cut(browser, pots):
    """WCAG 2.2, 1.4.10: text reflows at 320 px; wide pictures and tables scroll inside their own frame."""
    page = browser.new_page(viewport={"width": 320, "height": 640})
    for leaf in LEAVES:
        page.goto(f"{pots}{leaf}")
        judged(page, f"plan{leaf.replace('/', '-')}-320", axe=False)
    page.close()


def test_without_script_everything_can_be_read(browser, pots):
    """The same answers, the floor included."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(pots)
    for question in ("When does each tier leave?", "What does it cost?", "What is waste?"):
        assert page.get_by_role("heading", name=question).is_visible()
    assert page.locator(".picture a.run").count() > 0
    context.close()


def test_a_run_can_be_reached_and_followed_by_keyboard(open_page, pots):
    """Focus says what the run is and marks what waits for it; Enter leads to its line among the runs."""
    page = open_page()
    page.goto(pots)
    run = page.locator(".picture a.run").first
    run.focus()
    assert "shots" in page.locator("#saying").inner_text()
    assert page.locator(".job.linked").count() > 0
    page.keyboard.press("Enter")
    page.wait_for_url("**/runs#*")
    assert page.locator("tr:target").count() == 1


def test_the_skip_link_comes_first(open_page, pots):
    """Tab once, Enter: past the navigation."""
    page = open_page()
    page.goto(pots)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
