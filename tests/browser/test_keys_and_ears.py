"""Every page as it is read out: whatever is used has a name, tables have headers and headings leave no level out (WCAG
2.2, 1.3.1 and 4.1.2, from memory); and the floor picture with keys alone (2.1.1, 2.4.3)."""

import re
from itertools import pairwise

import pytest
from playwright.sync_api import Page

from tests.api.page_addresses import ALONE, LEAVES
from tests.browser.conftest import unfolded

pytestmark = pytest.mark.browser
NAMED = "link|button|textbox|combobox|checkbox|radio|region|navigation|img|searchbox|heading"
NAMELESS = re.compile(rf"^\s*- ({NAMED})(?: \[[^\]]*\])*:?$")
HEADING = re.compile(r'^\s*- (?:.*?)heading "[^\n]*\[level=(\d)\]')
BARE_TABLES = """() => [...document.querySelectorAll('main table')]
  .filter((one) => ![...one.querySelectorAll('th')].length || [...one.querySelectorAll('th')].some((th) => !th.scope))
  .map((one) => one.outerHTML.slice(0, 160))"""


def faults_by_ear(page: Page) -> list[str]:
    """What has no name in the tree that is read out, headings that leave a level out, tables whose headers do not say
    what they head."""
    tree = page.locator("body").aria_snapshot().splitlines()
    faults = [f"no name: {line.strip()}" for line in tree if NAMELESS.match(line)]
    levels = [int(found[1]) for line in tree if (found := HEADING.match(line))]
    faults += [f"level {b} after {a}" for a, b in pairwise(levels) if b > a + 1]
    return faults + [f"no headers: {one}" for one in page.evaluate(BARE_TABLES)]


def test_every_page_by_ear(open_page, seeded, pots):
    """On a phone, in German, without script and with all that is folded unfolded."""
    page = open_page("phone", java_script_enabled=False, locale="de-DE")
    found = {}
    for address in (*(f"{seeded[0]}{one}" for one in ALONE), *(f"{pots}{leaf}" for leaf in LEAVES)):
        page.goto(address)
        unfolded(page)
        if faults := faults_by_ear(page):
            found[address.partition("/plans/")[2] or address] = faults[:6]
    assert found == {}


def test_the_picture_is_two_stops_and_arrows_go_on(open_page, pots):
    """However many runs and jobs are in it: the frame, which keys draw closer, and one run; then the page goes on."""
    page = open_page()
    page.goto(f"{pots}/floor")
    page.locator("#floor-picture").focus()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.classList.contains('run')")
    lanes = page.locator("#floor-picture g.lane").count()
    for _ in range(lanes):
        page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.classList.contains('job')")
    first = page.evaluate("document.activeElement.querySelector('title').textContent")
    page.keyboard.press("ArrowRight")
    assert page.evaluate("document.activeElement.querySelector('title').textContent") != first
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.closest('#floor-picture')") is None
    page.keyboard.press("Shift+Tab")
    assert page.evaluate("document.activeElement.classList.contains('job')")
