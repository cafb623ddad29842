"""The floor picture answers: closer and along by pointer, fingers and keys; a run opens, and is moved by hand or by
keys into a wish that is planned beside the plan. Without script the same by links and a form."""

import re
import time
from collections.abc import Callable

import pytest
from playwright.sync_api import Locator, Page, expect

from examples.situations import campaign_of, plan_of
from tests.api.plan_fixtures import publish
from tests.browser.conftest import SIZES, judged, kept

pytestmark = pytest.mark.browser
WIDTH = "frame => frame.querySelector('svg:not(.names)').getBoundingClientRect().width"
UNITS = "frame => frame.querySelector('svg:not(.names)').viewBox.baseVal.width"
RUN = '#floor-picture a.run[href$="/{}"]'


@pytest.fixture(scope="module")
def wishes(seeded) -> tuple[str, list]:
    """The address of a plan with two presses, and its runs."""
    plan = plan_of("wishes")
    plan_id = publish(seeded[1], campaign_of("wishes"), plan)
    return f"{seeded[0]}/plans/{plan_id}", plan.runs


def frame_of(page: Page):
    return page.locator("#floor-picture")


def until(frame: Locator, drawn: Callable[[float], bool]) -> None:
    """Waits until the sheet is drawn so wide, in its own units."""
    ends = time.monotonic() + 10
    while not drawn(frame.evaluate(UNITS)):
        assert time.monotonic() < ends, frame.evaluate(UNITS)
        time.sleep(0.05)


def test_closer_by_keys_wheel_and_links_is_drawn_anew(open_page, wishes):
    """Each way makes the sheet wider at once; a moment later it is drawn for that width, with no fewer labels."""
    page = open_page()
    page.goto(wishes[0])
    frame = frame_of(page)
    width, units = frame.evaluate(WIDTH), frame.evaluate(UNITS)
    words = len(frame.locator("text").all())
    frame.focus()
    page.keyboard.press("+")
    assert frame.evaluate(WIDTH) > 1.4 * width
    until(frame, lambda wide: wide > 1.4 * units)
    assert len(frame.locator("text").all()) >= words
    assert page.evaluate("document.activeElement.id") == "floor-picture"
    page.keyboard.press("0")
    until(frame, lambda wide: abs(wide - units) < 1)
    page.get_by_role("link", name="4 times closer").click()
    until(frame, lambda wide: wide > 3.9 * units)
    box = frame.bounding_box()
    page.mouse.move(box["x"] + 600, box["y"] + 60)
    page.keyboard.down("Control")
    page.mouse.wheel(0, 200)
    page.keyboard.up("Control")
    assert frame.evaluate(WIDTH) < 3.9 * width
    until(frame, lambda wide: wide < 3.5 * units)
    judged(page, "floor-closer-desk")


def test_what_is_under_the_pointer_stays_there(open_page, wishes):
    """Closer and back around a run: it does not run away from the pointer."""
    page = open_page()
    page.goto(wishes[0])
    page.locator("#floor-picture a.run").nth(2).scroll_into_view_if_needed()
    box = "() => document.querySelectorAll('#floor-picture a.run')[2].getBoundingClientRect().toJSON()"
    before = page.evaluate(box)  # at once: while the sheet is drawn anew a run of before has no box
    page.mouse.move(before["x"] + 1, before["y"] + 10)
    page.keyboard.down("Control")
    page.mouse.wheel(0, -240)
    page.keyboard.up("Control")
    after = page.evaluate(box)
    assert after["width"] > 1.5 * before["width"]
    assert abs(after["x"] - before["x"]) < 12


def test_a_hand_on_the_paper_moves_along_it(open_page, wishes):
    page = open_page()
    page.goto(f"{wishes[0]}?zoom=4#floor")
    frame = frame_of(page)
    box = frame.bounding_box()
    x, y = box["x"] + 700, box["y"] + box["height"] - 20
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 300, y, steps=5)
    page.mouse.up()
    assert abs(frame.evaluate("frame => frame.scrollLeft") - 300) < 3


def test_two_fingers_bring_it_closer(open_page, wishes):
    page = open_page("phone", has_touch=True)
    page.goto(f"{wishes[0]}/floor")
    frame = frame_of(page)
    frame.scroll_into_view_if_needed()
    width = frame.evaluate(WIDTH)
    hand = page.context.new_cdp_session(page)
    box = frame.bounding_box()
    x, y = box["x"] + 150, box["y"] + 120

    def fingers(kind: str, apart: float) -> None:
        points = [{"x": x - apart / 2, "y": y}, {"x": x + apart / 2, "y": y}]
        hand.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [] if kind == "touchEnd" else points})

    fingers("touchStart", 60)
    for apart in (80, 100, 120):
        fingers("touchMove", apart)
    fingers("touchEnd", 0)
    assert frame.evaluate(WIDTH) == pytest.approx(2 * width, rel=0.15)
    until(frame, lambda wide: wide > 1800)


@pytest.mark.parametrize("size", SIZES)
def test_a_run_opens_under_the_picture(open_page, wishes, size):
    """A click says what it is and why it is here; Escape closes it and leads back."""
    page = open_page(size)
    page.goto(wishes[0])
    run = page.locator("#floor-picture a.run").first
    run.click()
    opened = page.locator("#opened")
    expect(opened.get_by_role("heading", name="Why it is here")).to_be_visible()
    expect(page.locator("#run-name")).to_be_focused()
    judged(page, f"floor-opened-{size}", axe=size == "phone")
    page.keyboard.press("Escape")
    expect(opened).to_be_hidden()
    assert page.evaluate("document.activeElement.classList.contains('run')")


def test_arrows_go_from_run_to_run_and_m_moves_one(open_page, wishes):
    page = open_page()
    page.goto(wishes[0])
    lanes = page.locator("#floor-picture g.lane").evaluate_all(
        "lanes => lanes.map(lane => [...lane.querySelectorAll('a.run')].map(a => a.getAttribute('href')))"
    )
    here = "document.activeElement.getAttribute('href')"
    page.locator(f'#floor-picture a.run[href="{lanes[0][0]}"]').focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate(here) == lanes[0][1]
    page.keyboard.press("ArrowDown")
    assert page.evaluate(here) in lanes[1]
    page.keyboard.press("ArrowUp")
    assert page.evaluate(here) in lanes[0]
    page.keyboard.press("m")
    expect(page.locator("#move")).to_be_focused()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "move-press"


def test_a_run_let_go_on_another_press_becomes_a_wish_planned_beside(open_page, wishes):
    """Dragged, said, confirmed: the plan stays, another is asked for with the wish in it. Nothing happens before."""
    address, runs = wishes
    page = open_page()
    page.goto(address)
    mine = next(run for run in runs if run.tool == "foot")
    there = next(run for run in runs if run.press != mine.press)
    run, other = page.locator(RUN.format(mine.id)), page.locator(RUN.format(there.id))
    run.scroll_into_view_if_needed()
    start, end = run.bounding_box(), other.bounding_box()
    page.mouse.move(start["x"] + 4, start["y"] + 20)
    page.mouse.down()
    page.mouse.move(start["x"] + 40, end["y"] + 20, steps=6)
    assert f"{there.press}, " in page.locator("#saying").inner_text()
    kept(page, "floor-dragged-desk")
    page.mouse.up()
    expect(page.locator("#move-press")).to_have_value(there.press)
    assert page.url.partition("#")[0] == address
    page.locator("#opened").get_by_role("button", name="Plan with this move, beside this plan").click()
    page.wait_for_url(re.compile(r"/plans/[0-9a-z]+$"))
    assert page.url != address
    wanted = page.request.get(page.url.replace("/plans/", "/v1/plans/") + "/campaign").json()["wishes"]
    assert wanted[-1]["press"] == there.press
    assert wanted[-1]["runs"]["tool"] == "foot"


def test_let_go_beside_every_press_it_stays(open_page, wishes):
    page = open_page()
    page.goto(wishes[0])
    run = page.locator("#floor-picture a.run").first
    run.scroll_into_view_if_needed()
    box, frame = run.bounding_box(), frame_of(page).bounding_box()
    page.mouse.move(box["x"] + 4, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 60, frame["y"] + frame["height"] - 8, steps=4)
    assert "leave it where it is" in page.locator("#saying").inner_text()
    page.mouse.up()
    expect(page.locator("#opened")).to_be_hidden()
    assert run.get_attribute("transform") is None


def test_without_script_links_and_a_form_do_the_same(browser, wishes):
    """Closer by a link, a run by its link, moved by the form."""
    context = browser.new_context(java_script_enabled=False, viewport={"width": 1280, "height": 800})
    page = context.new_page()
    page.goto(wishes[0])
    page.get_by_role("link", name="2 times closer").click()
    assert page.locator("#floor-picture.zoom-2").count() == 1
    page.locator("#floor-picture a.run").first.click()
    expect(page.get_by_role("heading", name="Why it is here")).to_be_visible()
    page.get_by_label("When").select_option("not before")
    page.get_by_label("Day").fill("20 Jan 2027")
    page.get_by_role("button", name="Plan with this move, beside this plan").last.click()
    page.wait_for_url(re.compile(r"/plans/[0-9a-z]+$"))
    assert page.url != wishes[0]
    context.close()
