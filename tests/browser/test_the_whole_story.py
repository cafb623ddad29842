"""A maker's day in a browser, on the real service: broker, worker and API as processes, a planner double in the worker.

From nothing to paper: a campaign typed into the form, planned, watched and stopped; orders from a spreadsheet, planned
again; a colour change written down; printed.
"""

import io

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.conftest import judged
from tests.planner_double import SMALL_CAMPAIGN

pytestmark = [pytest.mark.browser, pytest.mark.service]

TYPED = {
    "name": "sleep 60",
    "start": "2027-01-11T06:00",
    "presses.0.id": "p1",
    "presses.0.clamp_kn": "800",
    "presses.0.holdup_kg": "0.4",
    "presses.0.shot_max_g": "200",
    "resins.0.id": "pp",
    "resins.0.family": "PP",
    "colours.0.id": "sage",
    "colours.0.hex": "#8fae8b",
    "parts.0.id": "cup",
    "parts.0.resin": "pp",
    "parts.0.mass_g": "40",
    "tools.0.makes": "cup",
    "tools.0.cycle_s": "30",
    "products.0.id": "cup",
    "colourways.0.id": "sage",
    "colourways.0.colours": "sage",
    "tiers.0.id": "one",
    "orders.0.tier": "one",
    "orders.0.colourways": "sage",
    "orders.0.count": "100",
}
"""What the double's campaign says, typed into the form; its name makes the double plan for a minute."""

ORDERS = "Order,Reward,Colour,Land,E-mail\nA1,one,Sage,GB,a@example.org\nA2,one,pink,DE,b@example.org\n"


def typed(page: Page, name: str) -> None:
    for field, text in (TYPED | {"name": name}).items():
        page.locator(f'[id="{field}"]').fill(text)


def test_from_nothing_to_paper(open_page, running_floor):
    """Every step by hand, as a new user would take it."""
    page = open_page()
    page.goto(running_floor.url)
    expect(page.get_by_text("There is no plan yet")).to_be_visible()
    page.get_by_role("link", name="start from your own campaign").click()
    page.get_by_role("link", name="Describe your campaign").click()

    # A slip of the pen is shown beside its field, and nothing typed is lost.
    typed(page, "sleep 60")
    page.locator('[id="presses.0.clamp_kn"]').fill("much")
    page.get_by_role("button", name="Plan it").last.click()
    expect(page.locator('[id="presses.0.clamp_kn-problem"]')).to_contain_text("no number")
    expect(page.locator('[id="parts.0.mass_g"]')).to_have_value("40")
    page.locator('[id="presses.0.clamp_kn"]').fill("800")
    page.get_by_role("button", name="Plan it").last.click()

    # Live: the cost comes down without the page being asked anew; stop, and the best plan is kept.
    page.wait_for_url("**/plans/*")
    expect(page.locator("#cost")).not_to_have_text("–", timeout=20_000)
    first = page.locator("#cost").inner_text()
    expect(page.locator("#cost")).not_to_have_text(first, timeout=20_000)
    assert page.locator("svg .cost").get_attribute("d").count("H") > 0
    judged(page, "story-1-live-desk")
    page.get_by_role("button", name="Stop and keep").click()
    expect(page.get_by_role("heading", name="When does each tier leave?")).to_be_visible(timeout=20_000)
    expect(page.get_by_text("somebody stopped it")).to_be_visible()
    judged(page, "story-2-plan-desk")

    # Orders from a spreadsheet: one row cannot be read until its word is explained.
    page.get_by_role("link", name="Other orders").click()
    page.locator("#file").set_input_files({"name": "orders.csv", "mimeType": "text/csv", "buffer": ORDERS.encode()})
    page.get_by_role("button", name="Look at its columns").click()
    expect(page.get_by_label("Reward")).to_have_value("tier")
    expect(page.get_by_text("a@example.org")).to_have_count(0)
    page.get_by_role("button", name="Check all rows").click()
    expect(page.get_by_text("'pink' is not a colourway")).to_be_visible()
    judged(page, "story-3-orders-desk")
    page.locator("#wordings").fill("pink = sage")
    page.get_by_role("button", name="Plan with these orders").click()
    page.wait_for_url("**/plans/*")
    page.get_by_role("button", name="Stop and keep").click()
    expect(page.get_by_role("heading", name="When does each tier leave?")).to_be_visible(timeout=30_000)

    # Paper: the file opens, and holds the run's sheet.
    page.get_by_role("link", name="Paper", exact=True).click()
    address = page.get_by_role("link", name="Print on A4").get_attribute("href")
    pdf = running_floor.get(address)
    assert pdf.headers["content-type"] == "application/pdf"
    assert any("p1: cup" in sheet.extract_text() for sheet in PdfReader(io.BytesIO(pdf.content)).pages)

    # Both plans stand on the first page.
    page.get_by_role("link", name="Plans", exact=True).click()
    assert page.get_by_role("link", name="sleep 60").count() == 2


def test_a_plan_that_cannot_be_says_why_and_can_be_mended(open_page, running_floor):
    """The reason and the smallest change that helps; the campaign is there to be changed and planned again."""
    running_floor.post("/v1/plans", SMALL_CAMPAIGN | {"name": "infeasible"}, Prefer="wait=20")
    page = open_page("phone")
    page.goto(running_floor.url)
    page.get_by_role("link", name="infeasible").click()
    expect(page.get_by_text("felt never arrives")).to_be_visible()
    expect(page.get_by_text("give it an arrival")).to_be_visible()
    judged(page, "story-4-failed-phone")
    page.get_by_role("link", name="Mend the campaign").click()
    text = page.locator("#text").input_value()
    page.locator("#text").fill(text.replace("infeasible", "quick"))
    page.get_by_role("button", name="Plan it").click()
    expect(page.get_by_role("heading", name="When does each tier leave?")).to_be_visible(timeout=30_000)
