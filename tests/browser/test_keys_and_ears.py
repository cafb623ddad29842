"""Every page with keys alone and as it is read out: the Tab key comes to each thing that can be used, in the order of
the page, seen where it is, and out again; whatever is used has a name, tables have headers and headings leave no level
out (WCAG 2.2, 1.3.1, 2.1.1, 2.1.2, 2.4.3, 2.4.7, 2.4.11, 4.1.2, from memory). With script and without."""

import re
from itertools import pairwise

import pytest
from playwright.sync_api import Page

from tests.api.page_addresses import ALONE, LEAVES
from tests.browser.conftest import unfolded

pytestmark = pytest.mark.browser
USED = """() => {
  const all = document.querySelectorAll(
    'a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex]');
  const used = [...all].filter((one) => one.checkVisibility({ visibilityProperty: true }) && !one.disabled
    && one.tabIndex >= 0 && one.getClientRects().length);
  window.stops = [];
  window.there = () => used.map((one) => one.isConnected);
  document.addEventListener('focusin', (event) => {
    const one = event.target;
    const stop = { place: used.indexOf(one), what: one.outerHTML.slice(0, 160), ring: true, seen: true };
    window.stops.push(stop);
    const look = (again) => requestAnimationFrame(() => {
      if (document.activeElement !== one) return;
      const style = getComputedStyle(one), box = one.getBoundingClientRect();
      stop.ring = style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
      stop.seen = box.width > 1 && box.bottom > 0 && box.top < innerHeight && box.right > 0 && box.left < innerWidth;
      if (again && !(stop.ring && stop.seen)) look(false);
      else stop.looked = true;
    });
    look(true);
  });
  return used.map((one) => one.type === 'radio' ? '' : one.outerHTML.slice(0, 160));
}"""
"""What the Tab key should come to, of radio buttons one of each group; what it does come to is kept from then on."""
MOST = 120
"""Stops on one page: forms have more, row after row alike."""
FORMS = ("/start/form", "/change", "/guess")
NAMED = "link|button|textbox|combobox|checkbox|radio|region|navigation|img|searchbox|heading"
NAMELESS = re.compile(rf"^\s*- ({NAMED})(?: \[[^\]]*\])*:?$")
HEADING = re.compile(r'^\s*- (?:.*?)heading "[^\n]*\[level=(\d)\]')
BARE_TABLES = """() => [...document.querySelectorAll('main table')]
  .filter((one) => ![...one.querySelectorAll('th')].length || [...one.querySelectorAll('th')].some((th) => !th.scope))
  .map((one) => one.outerHTML.slice(0, 160))"""


def faults_by_key(page: Page) -> list[str]:
    """What the Tab key does not come to, or not in order, or where nobody sees that it did; a place it is held at keeps
    it from all behind."""
    wanted = page.evaluate(USED)
    for _ in wanted[:MOST]:
        page.keyboard.press("Tab")
    page.wait_for_function("window.stops.length === 0 || window.stops.at(-1).looked")
    found, there = page.evaluate("[window.stops, window.there()]")
    places = [one["place"] for one in found]
    faults = [f"never comes to {what}" for n, what in enumerate(wanted[:MOST]) if what and there[n] and n not in places]
    faults += [f"comes back to {found[n + 1]['what']}" for n, (a, b) in enumerate(pairwise(places)) if 0 < b < a]
    faults += [f"no ring around {one['what']}" for one in found if not one["ring"]]
    return faults + [f"out of sight: {one['what']}" for one in found if not one["seen"]]


def faults_by_ear(page: Page) -> list[str]:
    """What has no name in the tree that is read out, headings that leave a level out, tables whose headers do not say
    what they head."""
    tree = page.locator("body").aria_snapshot().splitlines()
    faults = [f"no name: {line.strip()}" for line in tree if NAMELESS.match(line)]
    levels = [int(found[1]) for line in tree if (found := HEADING.match(line))]
    faults += [f"level {b} after {a}" for a, b in pairwise(levels) if b > a + 1]
    return faults + [f"no headers: {one}" for one in page.evaluate(BARE_TABLES)]


@pytest.mark.parametrize(
    ("script", "size", "locale"),
    [(True, "desk", "en-GB"), (False, "phone", "de-DE")],
    ids=["script", "no-script"],
)
def test_every_page_by_keys_and_by_ear(open_page, seeded, pots, script, size, locale):
    """With all that is folded unfolded, but for forms under the keys, whose rows are alike. Without script keys do what
    the browser does by itself: it is read only."""
    page = open_page(size, java_script_enabled=script, locale=locale)
    found = {}
    for address in (*(f"{seeded[0]}{one}" for one in ALONE), *(f"{pots}{leaf}" for leaf in LEAVES)):
        page.goto(address)
        if not script or not address.endswith(FORMS):
            unfolded(page)
        faults = faults_by_key(page) if script else []
        unfolded(page)
        if faults := faults + faults_by_ear(page):
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
