"""What a maker's stories in the browser begin and go on with: the form typed in, the plan waited for, its sheets."""

import io
import re
from collections.abc import Sequence

from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.conftest import judged, say_it_is_right
from tests.live_service import LiveService

SOON = 90_000
"""Milliseconds that a busy machine may take for what takes seconds."""

TYPED = {
    "name": "My cups",
    "start": "2027-01-11T06:00",
    "presses.0.id": "Press one",
    "presses.0.clamp_kn": "800",
    "presses.0.holdup_kg": "0.4",
    "presses.0.shot_max_g": "200",
    "resins.0.id": "PP",
    "resins.0.family": "PP",
    "colours.0.id": "Sage",
    "colours.0.hex": "#8fae8b",
    "parts.0.id": "Cup",
    "parts.0.resin": "PP",
    "parts.0.mass_g": "40",
    "tools.0.makes": "Cup x2",
    "tools.0.cycle_s": "30",
    "products.0.id": "Cup",
    "colourways.0.id": "Sage",
    "colourways.0.colours": "Sage",
    "tiers.0.id": "Pair",
    "tiers.0.units": "2",
    "orders.0.tier": "Pair",
    "orders.0.colourways": "Sage",
    "orders.0.count": "100",
}
"""The smallest campaign, as a maker would type it."""


def planned_from_the_form(
    page: Page,
    live: LiveService,
    rows: Sequence[str],
    typed: dict[str, str],
    picture: str = "",
    unfold: Sequence[str] = (),
) -> str:
    """Types a campaign into the form and plans it; gives the plan's id.

    rows: what one more is added of, by the word on its button. picture: a name under which the filled form is judged;
    "": not at all. unfold: selectors of what is folded and typed into, too, from the outermost."""
    page.goto(f"{live.url}/start")
    page.get_by_role("link", name="Describe your campaign").click()
    for one in rows:
        page.get_by_role("button", name=f"Add a {one}", exact=True).click()
    for folded in unfold:
        page.locator(folded).first.click()
    for field, text in typed.items():
        page.locator(f'[id="{field}"]').fill(text)
    if picture:
        judged(page, picture)
    page.locator('[id="orders.0.count"]').press("Enter")
    say_it_is_right(page)
    return plan_shown(page)


def plan_shown(page: Page) -> str:
    """Waits for the plan; gives its id."""
    page.wait_for_url(re.compile(r"/plans/[^/]+$"))
    expect(page.get_by_role("heading", name="Will I keep my promises?")).to_be_visible(timeout=SOON)
    return page.url.rpartition("/")[2]


def both_branches(page: Page, ways: tuple[str, str], picture: str) -> None:
    """The plan's page shows what follows either way, side by side, on a phone and on a desk."""
    section = page.locator('section[aria-labelledby="either-way"]')
    for way in ways:
        expect(section.get_by_role("heading", name=re.compile(f"^{way}"))).to_be_visible()
    for size in ("phone", "desk"):
        judged(page, f"{picture}-{size}", size=size)


def asked_what_knowing_is_worth(page: Page) -> None:
    """From the plan's page."""
    page.get_by_role("link", name="What knowing it now is worth").click()
    page.get_by_role("button", name="Work it out").click()


def ticked_and_planned_again(page: Page, button: str) -> str:
    """Says how it turned out and plans again from there; gives the new plan's id."""
    page.get_by_role("button", name=button).click()
    expect(page.get_by_text("Written down.")).to_be_visible()
    page.get_by_role("button", name="Plan again from here").click()
    again = plan_shown(page)
    expect(page.get_by_role("heading", name="Either way")).to_have_count(0)
    return again


def sheets_of(page: Page, live: LiveService) -> tuple[list[str], str]:
    """What the paper says that a plan's page of papers offers, sheet by sheet and all together."""
    pdf = live.get(page.get_by_role("link", name="Print on A4").get_attribute("href") or "")
    assert pdf.headers["content-type"] == "application/pdf"
    sheets = [sheet.extract_text() for sheet in PdfReader(io.BytesIO(pdf.content)).pages]
    return sheets, "\n".join(sheets)
