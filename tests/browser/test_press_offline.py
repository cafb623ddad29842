"""At the press without a connection: what is written down waits in the browser, is sent later, and counts once."""

import shutil
from urllib.parse import parse_qsl

import pytest
from playwright.sync_api import expect

from tests.api.app_client import listening, settings_for
from tests.api.plan_fixtures import publish_pots
from tests.live_service import waited
from worker.queue.server import free_port

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


def test_a_shift_without_the_service_two_tabs_and_a_restart(browser, tmp_path, empty_records):
    """The line is away, then the service is: what two tabs of one phone wrote down is sent when it is back, each once
    and in its order, though both tabs send at once; a third tab opened meanwhile sends nothing again."""
    shutil.copyfile(empty_records, tmp_path / "records.sqlite")
    settings = settings_for(tmp_path, port=free_port())
    base = f"http://127.0.0.1:{settings.port}"
    with listening(settings) as app:
        plan_id = publish_pots(app.state.service)
        context = browser.new_context(viewport={"width": 320, "height": 700})
        one, two = context.new_page(), context.new_page()
        for page in (one, two):
            page.goto(f"{base}/plans/{plan_id}/press")
        context.set_offline(True)
        for page, shots in ((one, "11"), (two, "12"), (one, "13")):
            page.fill("#shots", shots)
            page.get_by_role("button", name="Write shots down").click()
            expect(page.locator("#waiting")).to_contain_text(f"Shots since the last entry {shots}")
    context.set_offline(False)  # the line is back, the service is not
    two.fill("#shots", "14")
    two.get_by_role("button", name="Write shots down").click()
    expect(two.locator("#waiting")).to_contain_text("4 entries wait to be sent")
    with listening(settings):
        third = context.new_page()
        third.goto(f"{base}/plans/{plan_id}/press")
        for page in (one, two):
            page.evaluate("window.dispatchEvent(new Event('online'))")
        waited(lambda: one.evaluate(f"localStorage.getItem('shot-to-ship {plan_id}')") == "[]", 30)
        api = f"{base}/v1/plans/{plan_id}/actuals"
        assert sorted(entry["shots"] for entry in logged(one, api)) == [11, 12, 13, 14]
        fourth = context.new_page()
        fourth.goto(f"{base}/plans/{plan_id}/press")
        expect(fourth.locator("#waiting")).to_be_hidden()
        assert len(logged(fourth, api)) == 4
    context.close()
