"""A maker's weeks in a browser, on the real service: broker, worker with the real planner, and API as processes.

Orders from a spreadsheet, planned, stopped; what slips; a variant; the floor written down at the press; planned again
from there; promises, the supporters' update, and paper.
"""

import csv
import io
import json
import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from api.demo import DEMO
from tests.browser.conftest import judged, say_it_is_right
from tests.browser.stories import SOON, TYPED, plan_shown, sheets_of

pytestmark = [pytest.mark.browser, pytest.mark.service]


def test_a_campaign_typed_in_by_keyboard_alone(open_page, real_service):
    """The first plan from the form; a slip of the pen stands beside its field and nothing typed is lost."""
    page = open_page()
    page.goto(real_service.url)
    page.get_by_role("link", name="start from your own campaign").click()
    page.get_by_role("link", name="Describe your campaign").click()
    for field, text in (TYPED | {"presses.0.clamp_kn": "much"}).items():
        page.locator(f'[id="{field}"]').fill(text)
    page.locator('[id="orders.0.count"]').press("Enter")
    expect(page.locator('[id="presses.0.clamp_kn-problem"]')).to_contain_text("no number")
    expect(page.locator('[id="parts.0.mass_g"]')).to_have_value("40")
    judged(page, "story-00-form-with-a-problem-desk")
    page.get_by_role("link", name="the first of them").press("Enter")
    page.keyboard.press("Tab")
    page.locator('[id="presses.0.clamp_kn"]').fill("800")
    page.locator('[id="presses.0.clamp_kn"]').press("Enter")
    say_it_is_right(page)
    plan_shown(page)
    expect(page.get_by_role("heading", name="My cups")).to_be_visible()


def test_from_a_spreadsheet_to_the_last_parcel(open_page, real_service):
    """Every step by hand, as a maker would take it."""
    page = open_page()
    page.goto(f"{real_service.url}/start")
    document, table = demo_and_its_orders()
    _bring_the_orders(page, document, table)
    plan = _watch_and_stop(page, real_service, "story-02-live")
    for size in ("phone", "desk", "wall"):
        judged(page, f"story-03-plan-{size}", size=size, axe=size == "phone")

    # Is a slip a big problem? The answers come without the page being asked again.
    page.get_by_role("link", name="What if").click()
    page.get_by_role("link", name="Is a slip a big problem?").click()
    page.get_by_label("What slips").select_option("valve")
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_role("heading", name=re.compile("valve: (no problem|small|big)"))).to_be_visible(timeout=SOON)
    expect(page.locator("#study")).not_to_have_attribute("data-waits", "", timeout=SOON)
    assert page.locator("table.heat tbody tr").count() == 8
    judged(page, "story-04-slips-desk")

    # A variant with two changes at once, and the comparison.
    page.get_by_role("link", name="Change something").click()
    page.get_by_label("valve", exact=True).fill("10")
    page.locator("main summary", has_text="Press ").first.click()
    page.get_by_label("Hours on Saturdays").first.fill("06:00-14:00")
    page.get_by_role("button", name="Plan with this change").last.click()
    variant = _watch_and_stop(page, real_service, "")
    campaign = real_service.get(f"/v1/plans/{variant}/campaign").json()
    assert campaign["tools"]["valve"]["ready"] == "2027-01-23T12:00:00"
    page.goto(f"{real_service.url}/plans/{plan}/side-by-side")
    expect(page.get_by_role("link", name=re.compile("valve 10 days later"))).to_be_visible()
    judged(page, "story-05-side-by-side-desk")
    page.get_by_role("link", name="compared").click()
    expect(page.get_by_role("heading", name="Runs that moved, came or went")).to_be_visible()
    judged(page, "story-06-compared-desk")

    # At the press, on a phone.
    phone = open_page("phone")
    phone.goto(f"{real_service.url}/plans/{plan}/press")
    runs = real_service.get(f"/v1/plans/{plan}").json()["plan"]["runs"]
    run = _write_down(phone, runs)
    logged = [one["entry"]["what"] for one in real_service.get(f"/v1/plans/{plan}/actuals").json()["entries"]]
    assert logged == ["shots", "downtime", "purge"]

    # Planned again from there: the shots made are not made again.
    phone.get_by_role("button", name="Plan again from here").click()
    again = _watch_and_stop(phone, real_service, "", {"stopped", "budget-used"})  # little is left: it may be done first
    before, after = (real_service.get(f"/v1/plans/{one}").json()["plan"] for one in (plan, again))
    shots = [sum(r["shots"] for r in p["runs"] if r["tool"] == run) for p in (before, after)]
    assert shots[1] <= shots[0] - 30
    for name in ("At the press", "What changed"):
        phone.get_by_text("all pages of this plan").click()
        phone.get_by_role("link", name=name).click()
    expect(phone.get_by_role("heading", name="What changed, and why")).to_be_visible()
    judged(phone, "story-08-changes-phone")

    # Dates that hold, and the update with them.
    page.goto(f"{real_service.url}/plans/{again}/promises")
    page.get_by_role("button", name="Simulate").click()
    expect(page.get_by_role("columnheader", name="Announce")).to_be_visible(timeout=SOON)
    judged(page, "story-09-promises-desk")
    announced = page.locator('td[data-label="Announce"]').first.inner_text()
    page.get_by_role("link", name="Update").click()
    page.get_by_label("What you want to add").fill("The presses are running.")
    page.get_by_role("button", name="Write a draft").click()
    draft = page.get_by_role("textbox", name="Draft")
    expect(draft).to_have_value(re.compile("The presses are running."))
    day, year = re.search(r"(\d{1,2}) [A-Z][a-z]{2} (\d{4})", announced).groups()
    assert f"{day} " in draft.input_value()
    assert year in draft.input_value()
    page.get_by_role("button", name="I have sent it: keep it as sent").click()
    expect(page.get_by_role("heading", name="Sent before")).to_be_visible()
    expect(page.get_by_text("Nothing yet. The first update")).to_have_count(0)
    judged(page, "story-10-update-desk")

    # Paper: the file opens, and holds a sheet for each run.
    page.get_by_role("link", name="Paper", exact=True).click()
    sheets, _ = sheets_of(page, real_service)
    assert all(any(run["press"] in sheet and run["tool"] in sheet for sheet in sheets) for run in after["runs"])

    # All plans stand on the first page.
    page.get_by_role("link", name="Campaigns", exact=True).click()
    listed = page.locator("tbody").inner_text()
    assert sum(int(number) for number in re.findall(r"(\d+) plans?\b", listed)) >= 3, listed
    judged(page, "story-11-campaigns-desk")


def demo_and_its_orders() -> tuple[bytes, bytes]:
    """The demo without its orders, and 150 of them as the spreadsheet a shop would hand over."""
    document = json.loads(DEMO.read_bytes())
    orders = [line for line in document.pop("orders") if not line.keys() & {"extra_units", "extra_pieces"}][:150]
    document["planning"] = {"seconds": 120}
    text = io.StringIO()
    table = csv.writer(text)
    table.writerow(["Order", "Reward", "Colours", "Land", "How many", "E-mail"])
    for line in orders:
        [ways] = line["units"].values()
        said = ", ".join("Petrol" if way == "ink" else way for way in ways)
        table.writerow([line["ref"], line["tier"], said, line["country"], line["count"], "someone@example.org"])
    return json.dumps(document).encode(), text.getvalue().encode()


def _bring_the_orders(page: Page, document: bytes, table: bytes) -> None:
    """Both files; the columns on a sample of rows; a word that needs explaining; planned."""
    page.locator("#with").set_input_files({"name": "c.json", "mimeType": "application/json", "buffer": document})
    page.locator("#table").set_input_files({"name": "orders.csv", "mimeType": "text/csv", "buffer": table})
    page.get_by_role("button", name="Look at its columns").click()
    expect(page.get_by_label("Reward")).to_have_value("tier")
    expect(page.get_by_text("someone@example.org")).to_have_count(0)
    page.get_by_label("Colours", exact=True).select_option("colour")
    page.get_by_label("How many").select_option("count")
    page.get_by_role("button", name="Check all rows").click()
    expect(page.get_by_text("Petrol").first).to_be_visible()
    expect(page.get_by_text("Set aside, and why")).to_be_visible()
    judged(page, "story-01-columns-desk")
    page.get_by_label("Petrol").select_option(label="ink")
    page.get_by_role("button", name="Plan with these orders").click()
    page.wait_for_url("**/plans/*")


def _watch_and_stop(page: Page, live, picture: str, ends: frozenset[str] | set[str] = frozenset({"stopped"})) -> str:
    """Live: the cost and the bound come by themselves, then stop and keep; gives the plan's id."""
    page.wait_for_url("**/plans/*")
    plan_id = page.url.rpartition("/")[2]
    expect(page.locator("#cost")).not_to_have_text("–", timeout=SOON)
    if picture:
        expect(page.locator("#bound")).not_to_have_text("–", timeout=SOON)
        assert page.locator("svg .cost").get_attribute("d").startswith("M")
        judged(page, f"{picture}-desk")
    page.get_by_role("button", name="Stop and keep").click()
    expect(page.get_by_role("heading", name="Will I keep my promises?")).to_be_visible(timeout=SOON)
    state = live.get(f"/v1/plans/{plan_id}").json()
    assert state["ended_because"] in ends
    assert state["plan"]["audit"]["holds"]
    return plan_id


def _write_down(phone: Page, runs: list[dict[str, Any]]) -> str:
    """Shots with scrap and a stop on the run that is shown first, a purge on another; gives the tool."""
    tool = phone.locator("h2").first.inner_text().partition(": ")[2].split(", ")[0]
    phone.get_by_label("Shots since the last entry").fill("40")
    phone.get_by_label("Of them scrap").first.fill("3")
    phone.get_by_role("button", name="Write shots down").click()
    expect(phone.get_by_text("Written down: shots")).to_be_visible()
    assert "40 of" in phone.locator("p.figure").inner_text()
    phone.get_by_label("For how many hours").fill("0.5")
    phone.get_by_role("button", name="Write stop down").click()
    expect(phone.get_by_text("the press stood still")).to_be_visible()
    purged = next(run for run in runs if run["changeover"] and run["changeover"]["purges"])
    phone.get_by_role("link", name=purged["press"], exact=True).click()
    if (folded := phone.locator("main summary", has_text="All its runs")).count():
        folded.click()
    phone.locator(f'a[href="?run={purged["id"]}"]').last.click()
    phone.get_by_label("kg until clean").fill("1.4")
    phone.get_by_role("button", name="Write purge down").click()
    expect(phone.get_by_text("Written down: purge")).to_be_visible()
    for button in phone.locator("button.big").all():
        assert button.bounding_box()["height"] >= 44
    judged(phone, "story-07-press-phone")
    return str(tool)
