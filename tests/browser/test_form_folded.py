"""The form that somebody comes back to is a table of contents: each section says what it holds and opens by itself
where it is asked for, with script and without."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import judged

pytestmark = pytest.mark.browser
SECTION = "details.section:has(> fieldset#{})"


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_a_change_form_fits_a_few_screens(open_page, pots, script):
    """Folded, with names; a section opens by its line; what is wrong, and where a row was added, stands open."""
    page = open_page("phone", java_script_enabled=script)
    page.goto(f"{pots}/change")
    assert page.evaluate("document.documentElement.scrollHeight") < 6 * 700
    presses = page.locator(SECTION.format("presses"))
    name = page.locator('[id="presses.0.id"]').input_value()
    expect(presses.locator("summary").first).to_contain_text(name)
    expect(page.locator('[id="tools.0.cycle_s"]')).to_be_hidden()
    page.locator("summary", has_text="Tools").first.click()
    page.locator('[id="tools.0.cycle_s"]').fill("quick")
    page.get_by_role("button", name="Plan with these changes").click()
    page.wait_for_load_state()
    assert page.locator('[id="tools.0.cycle_s-problem"]').is_visible()
    expect(page.locator(SECTION.format("tools")).locator("summary").first).to_contain_text("1 field needs a look")
    if script:
        judged(page, "form-folded-phone")
    page.locator("summary", has_text="Colours").first.click()
    page.locator("button[value=add-colours]").click()
    page.wait_for_load_state()
    assert page.locator("button[value=add-colours]").is_visible()
    expect(presses.locator("fieldset")).to_be_hidden()


def test_a_jump_opens_its_section(open_page, pots):
    """By keys: the list, a link in it, and the section stands open."""
    page = open_page("phone")
    page.goto(f"{pots}/change")
    page.locator("details.jump summary", has_text="Jump to a section").press("Enter")
    page.get_by_role("link", name="Tiers").press("Enter")
    expect(page.locator('[id="tiers.0.promised"]')).to_be_visible()


def test_sections_that_stand_open_stay_open(open_page, pots):
    """With script: what was opened before a row was added elsewhere is open afterwards too."""
    page = open_page()
    page.goto(f"{pots}/change")
    for words in ("Presses", "Tools"):
        page.locator("summary", has_text=words).first.click()
    page.locator("button[value=add-tools]").click()
    page.wait_for_load_state()
    expect(page.locator('[id="presses.0.id"]')).to_be_visible()
    expect(page.locator('[id="tiers.0.promised"]')).to_be_hidden()


def test_navigation_folds_into_a_line_on_a_phone(open_page, pots):
    """Sixteen links behind one line; at a desk they stand there."""
    page = open_page("phone", java_script_enabled=False)
    page.goto(f"{pots}/buying")
    ours = page.get_by_role("navigation", name="This plan")
    assert ours.bounding_box()["height"] < 100
    expect(ours.locator("summary")).to_contain_text("Buying")
    ours.locator("summary").click()
    ours.get_by_role("link", name="Purging").click()
    page.wait_for_url("**/purge")
    page.set_viewport_size({"width": 1280, "height": 800})
    expect(ours.get_by_role("link")).to_have_count(16)
    expect(ours.locator("summary")).to_be_hidden()


def test_a_button_is_pressed_where_it_stood(open_page, pots):
    """Help under a field does not go while the mouse is down on a button below it: the press would miss."""
    page = open_page()
    page.goto(f"{pots}/change")
    page.locator("summary", has_text="Presses").first.click()
    page.locator('[id="presses.0.clamp_kn"]').fill("1,600")
    expect(page.locator('[id="presses.0.clamp_kn-help"]')).to_be_visible()
    more = page.locator("button[value=add-presses]")
    rows = page.locator('[id^="presses."][id$=".clamp_kn"]').count()
    more.click()
    expect(page.locator(f'[id="presses.{rows}.clamp_kn"]')).to_be_visible()
