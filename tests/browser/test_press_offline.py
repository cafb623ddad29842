"""At the press without a connection: what is written down waits in the browser, is sent later, and counts once."""

from urllib.parse import parse_qsl

import pytest
from playwright.sync_api import expect

from tests.api.plan_fixtures import publish_pots

pytestmark = pytest.mark.browser


def logged(page, address):
    return [one["entry"] for one in page.request.get(address).json()["entries"]]


def test_entries_wait_and_are_sent_once(browser, seeded):
    base, service = seeded
    plan_id = publish_pots(service)
    api = f"{base}/v1/plans/{plan_id}/actuals"
    context = browser.new_context(viewport={"width": 320, "height": 700})
    page = context.new_page()
    page.goto(f"{base}/plans/{plan_id}/press")
    expect(page.locator("#without-connection")).to_contain_text("TLS")
    context.set_offline(True)
    for shots in ("40", "60"):
        page.fill("#shots", shots)
        page.get_by_role("button", name="Write shots down").click()
    expect(page.locator("#waiting")).to_contain_text("2 entries wait to be sent")
    expect(page.locator("#waiting")).to_contain_text("Leave this page open")
    expect(page.locator("#waiting")).to_contain_text("Shots since the last entry 60")
    sent = []
    page.on("request", lambda asked: sent.append(asked) if asked.method == "POST" else None)
    context.set_offline(False)
    expect(page.get_by_text("Written down: shots.")).to_be_visible()
    assert [entry["shots"] for entry in logged(page, api)] == [40, 60]
    assert page.evaluate(f"localStorage.getItem('shot-to-ship {plan_id}')") == "[]"
    # As if the answer had been lost: sent a second time, it is not written down a second time.
    again = page.request.post(
        sent[0].url, form=dict(parse_qsl(sent[0].post_data)), headers={"x-queued": sent[0].headers["x-queued"]}
    )
    assert again.ok
    assert len(logged(page, api)) == 2
    context.close()


def test_what_cannot_be_taken_is_said_and_kept(open_page, seeded):
    base, service = seeded
    plan_id = publish_pots(service)
    page = open_page("phone")
    page.goto(f"{base}/plans/{plan_id}/press")
    page.fill("#shots", "many")
    page.get_by_role("button", name="Write shots down").click()
    expect(page.locator("#waiting")).to_contain_text("Not taken: 'many' is no number")
    page.get_by_role("button", name="Throw it away").click()
    expect(page.locator("#waiting")).to_be_hidden()


def test_without_script_the_form_is_sent_as_ever(open_page, seeded):
    base, service = seeded
    plan_id = publish_pots(service)
    page = open_page("phone", java_script_enabled=False)
    page.goto(f"{base}/plans/{plan_id}/press")
    page.fill("#shots", "12")
    page.get_by_role("button", name="Write shots down").click()
    expect(page.get_by_text("Written down: shots.")).to_be_visible()
