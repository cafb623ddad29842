"""Sixty runs under the longest names, and a plan that has nothing left to mould: nothing sticks out of a page, and no
words of a picture lie on others or over its edge."""

import json
from collections.abc import Sequence

import pytest

from tests.api.page_addresses import LEAVES
from tests.api.plan_fixtures import publish
from tests.support.sixty_runs import nothing_left, sixty_runs

pytestmark = pytest.mark.browser
STICKS_OUT = """() => {
  const wide = document.documentElement.clientWidth, found = [];
  for (const folded of document.querySelectorAll('main details')) folded.open = true;
  const range = document.createRange();
  for (const one of document.querySelectorAll('main :is(p, h1, h2, h3, li, dt, dd, th, td, label, legend, summary)')) {
    if (!one.checkVisibility() || one.closest('.scroll, .picture, svg, .hidden') || one.querySelector('.skip'))
      continue;
    if (one.closest('thead')?.offsetWidth <= 1) continue;  // headings of rows that are cards on a phone
    range.selectNodeContents(one);
    const box = range.getBoundingClientRect(), said = one.textContent.trim().slice(0, 90);
    if (box.width && (box.right > wide + 1 || box.left < -1)) found.push(`${one.tagName}: ${said}`);
  }
  return found.slice(0, 4);
}"""
"""With all that is folded unfolded."""
LIES_OVER = """() => {
  const found = [];
  for (const svg of document.querySelectorAll('main svg')) {
    const edge = svg.getBoundingClientRect();
    if (!edge.width) continue;
    const words = [...svg.querySelectorAll('text')].map((text) => [text.textContent, text.getBoundingClientRect()])
      .filter(([said, box]) => said.trim() && box.width);
    words.forEach(([said, box], n) => {
      if (box.left < edge.left - 2 || box.right > edge.right + 2 || box.bottom > edge.bottom + 2)
        found.push(`over the edge: ${said}`);
      for (const [other, its] of words.slice(n + 1)) {
        const across = Math.min(box.right, its.right) - Math.max(box.left, its.left);
        const down = Math.min(box.bottom, its.bottom) - Math.max(box.top, its.top);
        if (across > 1.5 && down > 4) found.push(`${said} / ${other}`);
      }
    });
  }
  return found.slice(0, 6);
}"""
"""A text's box has room above and below its letters: lines closer than 4 px of it are not on each other."""


def held(page, address: str, widths: Sequence[int]) -> dict[str, list[str]]:
    """By page and width of the window, what sticks out or lies over; each page is loaded once, in the first width."""
    found = {}
    for leaf in LEAVES:
        if leaf == "/runs/r1":
            continue
        page.set_viewport_size({"width": widths[0], "height": 800})
        page.goto(f"{address}{leaf}")
        for width in widths:
            page.set_viewport_size({"width": width, "height": 800})
            if faults := page.evaluate(STICKS_OUT) + page.evaluate(LIES_OVER):
                found[f"{leaf or 'plan'} {width}"] = faults
    return found


@pytest.mark.parametrize(
    ("made", "locale", "widths"),
    [(sixty_runs, "en-GB", (390, 1280)), (sixty_runs, "de-DE", (390,)), (nothing_left, "en-GB", (390,))],
    ids=["sixty", "sixty-in-German", "none"],
)
def test_pages_and_pictures_hold(open_page, seeded, made, locale, widths):
    base, service = seeded
    plan_id = publish(service, *made())
    page = open_page(locale=locale)
    found = held(page, f"{base}/plans/{plan_id}", widths)
    assert found == {}, json.dumps(found, indent=1, ensure_ascii=False)


def test_two_long_names_never_read_alike(open_page, seeded):
    """Names alike but for their end: what the picture says beside each press is different."""
    base, service = seeded
    campaign, plan = sixty_runs()
    page = open_page()
    page.goto(f"{base}/plans/{publish(service, campaign, plan)}/floor")
    names = page.locator("#floor-picture svg.names text").all_text_contents()
    cut = [name for name in names if "…" in name]
    assert len(cut) == len(set(cut)) == len(campaign.presses) + len(campaign.tiers)
