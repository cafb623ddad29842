"""A trial on Monday works or costs 7 to 10 days: typed in, both branches seen, asked what knowing is worth, ticked, and
the new sheets printed; on the real service."""

import io
import re

import pytest
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.conftest import judged, say_it_is_right
from tests.browser.test_the_whole_story import SOON, TYPED

pytestmark = [pytest.mark.browser, pytest.mark.service]

TWO = TYPED | {
    "parts.1.id": "Bowl",
    "parts.1.resin": "PP",
    "parts.1.mass_g": "60",
    "tools.1.makes": "Bowl x1",
    "tools.1.cycle_s": "40",
    "products.0.parts": "Cup",
    "products.1.id": "Bowl",
    "products.1.parts": "Bowl",
    "tiers.0.units": "Cup x2",
    "tiers.0.promised": "2027-01-15",
    "tiers.1.id": "Bowls",
    "tiers.1.units": "Bowl x2",
    "tiers.1.promised": "2027-01-29",
    "orders.0.tier": "Pair",
    "orders.0.count": "900",
    "orders.1.tier": "Bowls",
    "orders.1.colourways": "Sage",
    "orders.1.count": "1500",
    "unsure.0.tool": "Cup",
    "unsure.0.on": "2027-01-11",
    "unsure.0.works": "7 in 10",
    "unsure.0.rework": "7-10",
}
"""Two products of a tool each; the tool of the first is tried on Monday."""


def test_a_trial_on_monday_from_the_form_to_the_new_sheets(open_page, real_service):
    page = open_page()
    page.goto(f"{real_service.url}/start")
    page.get_by_role("link", name="Describe your campaign").click()
    for one in ("part", "tool", "product", "tier", "line of orders"):
        page.get_by_role("button", name=f"Add a {one}", exact=True).click()
    for field, text in TWO.items():
        page.locator(f'[id="{field}"]').fill(text)
    judged(page, "either-way-00-form-desk")
    page.locator('[id="orders.0.count"]').press("Enter")
    say_it_is_right(page)
    plan = planned_again(page)

    # Both branches side by side.
    section = page.locator('section[aria-labelledby="either-way"]')
    expect(section.get_by_role("heading", name=re.compile("^If it works"))).to_be_visible()
    expect(section.get_by_role("heading", name=re.compile("^If it does not work"))).to_be_visible()
    for size in ("phone", "desk"):
        judged(page, f"either-way-01-plan-{size}", size=size)
    told = real_service.get(f"/v1/plans/{plan}").json()["plan"]["outcome"]["expected"]["branches"]
    works, fails = told["branches"]
    assert works["chance"] == 0.7
    assert max(run["end"] for run in fails["runs"]) >= max(run["end"] for run in works["runs"])
    assert "Either way" in sheets_of(page, real_service, plan)[1]

    # What knowing is worth.
    page.goto(f"{real_service.url}/plans/{plan}")
    section.get_by_role("link", name="What knowing it now is worth").click()
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("rowheader", name=re.compile("trials of tool Cup"))).to_be_visible(timeout=SOON)

    # It did not work: ticked, planned again, printed.
    page.goto(f"{real_service.url}/plans/{plan}")
    section.get_by_role("button", name="It turned out so: it does not work").click()
    expect(page.get_by_text("Written down.")).to_be_visible()
    page.get_by_role("button", name="Plan again from here").click()
    again = planned_again(page)
    assert again != plan
    expect(page.get_by_role("heading", name="Either way")).to_have_count(0)
    campaign = real_service.get(f"/v1/plans/{again}/campaign").json()
    assert campaign["tools"]["Cup"]["ready"] == "2027-01-21"
    after = real_service.get(f"/v1/plans/{again}").json()["plan"]
    assert [run["tool"] for run in after["runs"]][:1] == ["Bowl"]
    first = min(run["start"] for run in after["runs"] if run["tool"] == "Cup")
    assert first >= "2027-01-21"
    runs, text = sheets_of(page, real_service, again)
    assert "Either way" not in text
    assert all(any(run["tool"] in sheet for sheet in runs) for run in after["runs"])


def planned_again(page: Page) -> str:
    """Waits for the plan; gives its id."""
    page.wait_for_url(re.compile(r"/plans/[^/]+$"))
    expect(page.get_by_role("heading", name="Will I keep my promises?")).to_be_visible(timeout=SOON)
    return page.url.rpartition("/")[2]


def sheets_of(page: Page, live, plan: str) -> tuple[list[str], str]:
    """The paper's text, sheet by sheet and all together."""
    page.goto(f"{live.url}/plans/{plan}/paper")
    pdf = live.get(page.get_by_role("link", name="Print on A4").get_attribute("href"))
    assert pdf.headers["content-type"] == "application/pdf"
    sheets = [sheet.extract_text() for sheet in PdfReader(io.BytesIO(pdf.content)).pages]
    return sheets, "\n".join(sheets)
