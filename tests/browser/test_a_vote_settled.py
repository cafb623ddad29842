"""A vote may move orders from one colourway to another: typed in, both branches seen, printed, asked what knowing
is worth, orders brought anew while it is open, ticked, and the new sheets printed; on the real service."""

import csv
import io
import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import judged, say_it_is_right
from tests.browser.test_a_trial_settled import planned_again, sheets_of
from tests.browser.test_the_whole_story import SOON, TYPED

pytestmark = [pytest.mark.browser, pytest.mark.service]

VOTE = TYPED | {
    "colours.1.id": "Moss",
    "colours.1.hex": "#4c5d3f",
    "colourways.1.id": "Moss",
    "colourways.1.colours": "Moss",
    "tiers.0.units": "1",
    "tiers.0.promised": "2027-02-26",
    "orders.0.count": "6000",
    "orders.1.tier": "Pair",
    "orders.1.colourways": "Moss",
    "orders.1.count": "4000",
    "settled.0.what": "late choices",
    "settled.0.on": "2027-01-12",
    "settled.0.chance": "4 in 10",
    "settled.0.well": "Sage wins",
    "settled.0.ill": "Moss wins",
    "settled.0.moves": "1500 from Sage to Moss",
}
"""1,500 of 6,000 orders in sage get moss if the supporters vote for it on Tuesday."""


def test_a_vote_that_moves_orders_from_the_form_to_both_branches(open_page, real_service):
    page = open_page()
    page.goto(f"{real_service.url}/start")
    page.get_by_role("link", name="Describe your campaign").click()
    for one in ("colour", "colourway", "line of orders"):
        page.get_by_role("button", name=f"Add a {one}", exact=True).click()
    page.locator("summary", has_text="What is settled on a day").click()
    page.locator("fieldset#settled details > summary").first.click()  # what most leave empty
    for field, text in VOTE.items():
        page.locator(f'[id="{field}"]').fill(text)
    page.locator('[id="orders.0.count"]').press("Enter")
    say_it_is_right(page)
    plan = planned_again(page)

    # Both branches, and what is moulded in each.
    section = page.locator('section[aria-labelledby="either-way"]')
    expect(section.get_by_role("heading", name=re.compile("^If Sage wins"))).to_be_visible()
    expect(section.get_by_role("heading", name=re.compile("^If Moss wins"))).to_be_visible()
    expect(section.get_by_text(re.compile("1,?500 orders of Cup from Sage to Moss"))).to_be_visible()
    for size in ("phone", "desk"):
        judged(page, f"vote-01-plan-{size}", size=size)
    told = real_service.get(f"/v1/plans/{plan}").json()["plan"]["outcome"]["expected"]["branches"]
    assert [round(one["chance"], 3) for one in told["branches"]] == [0.6, 0.4]
    assert _units(real_service, plan) == {"Moss": 4000, "Sage": 4500, "Sage or Moss": 1500}
    assert "Either way" in sheets_of(page, real_service, plan)[1]

    # What knowing is worth.
    page.goto(f"{real_service.url}/plans/{plan}")
    section.get_by_role("link", name="What knowing it now is worth").click()
    page.get_by_role("button", name="Work it out").click()
    told = page.get_by_role("rowheader", name=re.compile("late choices"))
    expect(told.or_(page.get_by_text("moves the cost by more than chance")).first).to_be_visible(timeout=SOON)

    # Orders come anew while the vote is open: too few in sage are refused by name.
    page.goto(f"{real_service.url}/plans/{plan}/orders")
    _bring(page, {"Sage": 1100, "Moss": 4500})
    expect(page.get_by_text(re.compile("are moved from")).first).to_be_visible()

    # Enough of them become the plan's next revision, told apart again.
    page.goto(f"{real_service.url}/plans/{plan}/orders")
    _bring(page, {"Sage": 6500, "Moss": 4200})
    assert planned_again(page) == plan
    state = real_service.get(f"/v1/plans/{plan}").json()
    assert (state["status"], state["revision"]) == ("done", 2), state | {"plan": ""}
    assert _plan(real_service, plan)["audit"]["holds"]
    assert _units(real_service, plan) == {"Moss": 4200, "Sage": 5000, "Sage or Moss": 1500}
    expect(section.get_by_text(re.compile("1,?500 orders of Cup from Sage to Moss"))).to_be_visible()
    first, second = _plan(real_service, plan)["outcome"]["expected"]["branches"]["branches"]
    assert (first["moves"], len(second["moves"])) == ([], 1)

    # Moss wins: ticked, planned again, printed; the branch is the plan.
    section.get_by_role("button", name="It turned out so: Moss wins").click()
    expect(page.get_by_text("Written down.")).to_be_visible()
    page.get_by_role("button", name="Plan again from here").click()
    again = planned_again(page)
    assert again != plan
    expect(page.get_by_role("heading", name="Either way")).to_have_count(0)
    assert _units(real_service, again) == {"Moss": 5700, "Sage": 5000}
    judged(page, "vote-02-settled-phone", size="phone")
    campaign = real_service.get(f"/v1/plans/{again}/campaign").json()
    assert not campaign["uncertainty"].get("settled")
    assert set(campaign["colours"]) == {"Sage", "Moss"}
    colours = [run["melts"][0].partition("/")[2] for run in _plan(real_service, again)["runs"]]
    branch = [run["melts"][0].partition("/")[2].replace("Sage or Moss", "Moss") for run in second["runs"]]
    assert list(dict.fromkeys(colours)) == list(dict.fromkeys(branch))
    runs, text = sheets_of(page, real_service, again)
    assert "Either way" not in text
    assert "Sage or Moss" not in text
    assert all(any(colour in sheet for sheet in runs) for colour in colours)


def _plan(live, plan: str):
    return live.get(f"/v1/plans/{plan}").json()["plan"]


def _units(live, plan: str) -> dict[str, int]:
    """Colourway -> units that are packed of it."""
    found: dict[str, int] = {}
    for batch in _plan(live, plan)["batches"]:
        for units in batch["contents"].values():
            for colourway, each in units.items():
                found[colourway] = found.get(colourway, 0) + each * batch["parcels"]
    return found


def _bring(page: Page, counts: dict[str, int]) -> None:
    """A table of the shop's with so many orders in each colour, its columns as they are seen."""
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow(["Order", "Reward", "Colours", "Country", "How many"])
    for n, (colour, count) in enumerate(counts.items()):
        table.writerow([f"A{n}", "Pair", colour, "DE", count])
    page.locator("#file").set_input_files(
        {"name": "orders.csv", "mimeType": "text/csv", "buffer": text.getvalue().encode()}
    )
    page.get_by_role("button", name="Look at its columns").click()
    page.get_by_label("Colours", exact=True).select_option("colour")
    page.get_by_label("How many").select_option("count")
    page.get_by_role("button", name="Check all rows").click()
    page.get_by_role("button", name="Plan with these orders").click()
