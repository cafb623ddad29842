"""A draft that is being kept when its form is sent: the form waits for it, and does not overtake itself."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser


def test_a_form_waits_for_what_is_being_kept(open_page, pots):
    page = open_page("phone", locale="de-DE")
    happened, held = [], []

    def look(route):
        if "x-draft" in route.request.headers and happened:
            held.append(route)
            return
        if route.request.method == "POST":
            happened.append("kept" if "x-draft" in route.request.headers else "sent")
        route.continue_()

    page.route("**/update", look)
    page.goto(f"{pots}/update")
    words = page.locator("#words")
    words.fill("Eins")
    expect(page.locator("[data-kept]")).to_have_text("Aufgehoben.")
    with page.expect_request(lambda asked: "x-draft" in asked.headers):
        words.fill("Eins\nzwei")
    page.locator('button[value="save"]').click()
    assert happened == ["kept"]
    held.pop().continue_()
    page.wait_for_url("**/update?said=kept")
    assert happened == ["kept", "sent"]
    assert words.input_value() == "Eins\nzwei"
    expect(page.locator(".problem")).to_have_count(0)
