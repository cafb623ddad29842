"""Every page at three sizes: axe has no serious finding, nothing is cut off, nothing comes from elsewhere.

The smallest is 320 px, where WCAG 2.2, 1.4.10 asks that text reflows; wide pictures scroll inside their own frame.
"""

import json
import time

import pytest
from playwright.sync_api import expect

from planner.promise.make import make_promise
from tests.api.page_addresses import ALONE, LEAVES
from tests.api.plan_fixtures import failed, publish_pots, simulate, waiting
from tests.browser.conftest import SIZES, judged, unfolded
from tests.planner_double import SMALL_CAMPAIGN
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from worker.records import ending, events

pytestmark = pytest.mark.browser
NOBODY_S = "/plans/00000000000000000000000000"


@pytest.mark.parametrize("size", SIZES)
def test_pages_of_a_plan(open_page, pots, size):
    """The plan and all its leaves; on a phone with all that is folded unfolded, as folded parts are not judged."""
    page = open_page(size)
    for leaf in LEAVES:
        page.goto(f"{pots}{leaf}")
        if size == "phone":
            judged(page, f"folded{leaf.replace('/', '-')}-{size}", axe=False)
            unfolded(page)
        judged(page, f"plan{leaf.replace('/', '-')}-{size}", axe=size == "phone" or (size == "desk" and leaf == ""))


@pytest.mark.parametrize("size", SIZES)
def test_pages_that_belong_to_no_plan(open_page, seeded, pots, size):
    """First page, starting, signing in, and the page for what is not there."""
    page = open_page(size)
    for address in (*ALONE, NOBODY_S):
        page.goto(f"{seeded[0]}{address}")
        if size == "phone":
            unfolded(page)
        judged(page, f"{address.strip('/').replace('/', '-') or 'home'}-{size}", axe=size == "phone")


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_orders_from_a_messy_table(open_page, seeded, tmp_path, script):
    """Columns, statuses and unknown words, rows set aside and put right, on a phone, without script too."""
    plan_id = publish_pots(seeded[1])
    tier = next(iter(pot_campaign().tiers))
    way = next(iter(next(iter(pot_campaign().products.values())).colourways))
    rows = [f"S-1,{tier},{way},GB,paid", f"S-2,{tier},{way}x,GB,paid", f"S-3,{tier},{way},GB,refunded", "S-4,,,,"]
    table = tmp_path / "orders.csv"
    headings = "Supporter no,Bundle,Chosen,Send to country,Where it stands"
    table.write_text("\n".join(["Spring orders", headings, *rows]) + "\n")
    page = open_page("phone", java_script_enabled=script)
    page.goto(f"{seeded[0]}/plans/{plan_id}/orders")
    page.locator("#file").set_input_files(str(table))
    page.get_by_role("button", name="Look at its columns").click()
    expect(page.get_by_role("heading", name="Which of these are orders?")).to_be_visible()
    page.get_by_role("button", name="Check all rows").last.click()
    page.get_by_role("button", name=f"Did you mean {way}?").click()
    expect(page.get_by_text("orders to plan")).to_be_visible()
    if script:
        judged(page, "orders-columns-phone")
        judged(page, "orders-columns-desk", size="desk")
    page.get_by_label("Plan without the rows set aside").check()
    page.get_by_role("button", name="Plan with these orders").click()
    page.goto(f"{seeded[0]}/plans/{plan_id}/orders/aside")
    expect(page.get_by_text("2 rows of it are set aside")).to_be_visible()
    if script:
        judged(page, "orders-aside-phone")
        judged(page, "orders-aside-desk", size="desk")
    page.get_by_label("Where it stands").first.fill("paid")
    page.get_by_role("button", name="Save these rows").last.click()
    expect(page.get_by_text("1 row can be planned now")).to_be_visible()


def test_a_plan_being_made(open_page, seeded):
    """While it waits, on the phone."""
    plan_id = waiting(seeded[1], json.dumps(SMALL_CAMPAIGN), "waits")
    page = open_page("phone")
    page.goto(f"{seeded[0]}/plans/{plan_id}")
    judged(page, "being-made-phone")


def test_a_plan_that_cannot_be_says_why_and_can_be_mended(open_page, seeded):
    """The reason and the smallest change that helps; the campaign is there to be changed and planned again."""
    problem = {"pointer": "/pieces/felt", "message": "felt never arrives", "remedy": "give it an arrival"}
    failed(seeded[1], json.dumps(SMALL_CAMPAIGN | {"name": "no way"}), problem)
    page = open_page("phone")
    page.goto(seeded[0])
    page.get_by_role("link", name="no way").click()
    expect(page.get_by_text("felt never arrives")).to_be_visible()
    expect(page.get_by_text("give it an arrival")).to_be_visible()
    judged(page, "failed-phone")
    page.get_by_role("link", name="Mend the campaign").click()
    text = page.locator("#text").input_value()
    page.locator("#text").fill(text.replace("no way", "a way"))
    page.get_by_role("button", name="Plan it").click()
    expect(page.get_by_role("heading", name="a way")).to_be_visible()
    expect(page.get_by_text("Waiting for its turn")).to_be_visible()


def test_without_script_everything_can_be_read(browser, pots):
    """The same answers, the floor included."""
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(pots)
    for question in ("Will I keep my promises?", "What does it cost?", "What is waste?"):
        assert page.get_by_role("heading", name=question).is_visible()
    assert page.locator(".picture a.run").count() > 0
    context.close()


def test_a_run_can_be_reached_and_followed_by_keyboard(open_page, pots):
    """Focus says what the run is and marks what waits for it; Enter opens it under the picture."""
    page = open_page()
    page.goto(pots)
    run = page.locator(".picture a.run").first
    run.focus()
    assert "shots" in page.locator("#saying").inner_text()
    assert page.locator(".job.linked").count() > 0
    page.keyboard.press("Enter")
    expect(page.locator("#opened #run-name")).to_be_focused()
    judged(page, "run-opened-desk")


def test_pointing_and_focus_say_the_same_of_what_waits_for_what(open_page, pots):
    """A run marks the bench jobs that take its parts, a job the runs it takes them from; leaving clears the marks."""
    page = open_page()
    page.goto(pots)
    for ours, theirs in (("run", "job"), ("job", "run")):
        one = page.locator(f".picture a.{ours}").first
        marked = []
        for begin in (one.focus, one.hover):
            begin()
            marked.append(page.locator(f".picture a.{theirs}.linked").evaluate_all("all => all.map(a => a.href)"))
            assert one.locator("title").text_content() in page.locator("#saying").inner_text()
        assert marked[0] == marked[1] != []
        page.mouse.move(1, 1)
        assert page.locator(".picture .linked").count() == 0


def test_names_stay_in_sight_on_a_phone(open_page, pots):
    """Scrolled to the last day, the gutter with the presses' names is still at the picture's left edge."""
    page = open_page("phone")
    page.goto(pots)
    picture = page.locator("#floor-picture")
    assert picture.evaluate("p => { p.scrollLeft = 9999; return p.scrollLeft }") > 300
    left = picture.bounding_box()["x"]
    assert abs(picture.locator("svg.names").bounding_box()["x"] - left) < 3


def test_how_sure_is_put_in_as_soon_as_it_is_simulated(open_page, seeded):
    """The page is there while the workers simulate; what they find changes tiers, figure and floor, no reload."""
    address, service = seeded
    plan_id = publish_pots(service)
    study_id = simulate(service, plan_id, None)
    page = open_page()
    page.goto(f"{address}/plans/{plan_id}")
    assert page.get_by_text("being simulated").is_visible()
    assert page.get_by_text("80 % likely by then").count() == 0
    early = make_promise(pot_campaign(), pot_plan(), 50).model_dump(mode="json")
    with service.database.write() as connection:
        events.extend(connection, "study", study_id, [("preliminary", early)], time.time(), 0)
    expect(page.get_by_text("A first look, give or take")).to_be_visible(timeout=10_000)
    promise = make_promise(pot_campaign(), pot_plan(), 100).model_dump_json()
    with service.database.write() as connection:
        ending.end(connection, "study", study_id, "done", "complete", {}, time.time(), result=promise)
    expect(page.get_by_text("80 % likely by then").first).to_be_visible(timeout=10_000)
    expect(page.get_by_text("being simulated")).to_have_count(0)
    assert "P80" in page.locator("#floor-picture").inner_html()
    page.locator(".picture a.run").first.focus()
    assert page.locator(".picture a.job.linked").count() > 0
    judged(page, "how-sure-desk")


def test_the_skip_link_comes_first(open_page, pots):
    """Tab once, Enter: past the navigation."""
    page = open_page()
    page.goto(pots)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
