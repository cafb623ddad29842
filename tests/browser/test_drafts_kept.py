"""A draft is kept as typed: reloaded, gone back to, after signing out and in, and after the service was restarted."""

import shutil
import time

import pytest
from playwright.sync_api import Page, expect

from tests.api.app_client import listening, settings_for
from worker.queue.server import free_port
from worker.records import keys, workshops
from worker.records.database import Database
from worker.settings import Settings

pytestmark = pytest.mark.browser
TYPED = {
    "name": "Kennel (4 bowls)", "presses.0.id": "Press “7”, hall", "presses.0.clamp_kn": "about 1,600",
    "tools.0.makes": "2x bowl", "tools.0.cycle_s": "44 s", "tiers.0.promised": "end of February",
}  # fmt: skip
"""As people type, some of it no figure yet."""


def new_key(settings: Settings) -> str:
    """A key in records that no service has opened yet: without one it would not listen there."""
    database = Database(settings.database)
    workshop_id = workshops.ensure(database, "willow", time.time())
    with database.write() as connection:
        key = keys.make(connection, workshop_id, "test", ("read", "plan"), time.time())[1]
    database.close()
    return key


def sign_in(page: Page, base: str, key: str) -> None:
    page.goto(f"{base}/start")
    page.wait_for_url("**/sign-in?**")
    page.fill("[name=key]", key)
    page.locator("main form button").click()
    page.wait_for_url("**/start")


def as_typed(page: Page) -> dict[str, str]:
    return {name: page.locator(f'[id="{name}"]').input_value() for name in TYPED}


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_a_draft_outlives_reload_back_signing_out_and_a_restart(open_page, tmp_path, empty_records, script):
    shutil.copyfile(empty_records, tmp_path / "records.sqlite")
    settings = settings_for(tmp_path, host="0.0.0.0", port=free_port())
    base = f"http://127.0.0.1:{settings.port}"
    page = open_page(java_script_enabled=script)
    key = new_key(settings)
    with listening(settings):
        sign_in(page, base, key)
        page.get_by_role("link", name="Describe your campaign").click()
        for name, text in TYPED.items():
            page.locator(f'[id="{name}"]').fill(text)
        if script:
            expect(page.locator("[data-kept]")).to_have_text("Kept.", timeout=30_000)
        else:
            page.get_by_role("button", name="Keep it for later").click()
        page.wait_for_url("**/start/form?draft=*")  # the page of what is kept, and not one on its way there
        page.reload()
        assert as_typed(page) == TYPED
        page.get_by_role("link", name="Campaigns", exact=True).click()
        page.wait_for_url(lambda url: "/start/form" not in url)
        page.go_back()
        assert as_typed(page) == TYPED
        page.get_by_role("button", name="Sign out").click()
        page.wait_for_url("**/sign-in**")
        sign_in(page, base, key)
        page.get_by_role("link", name=TYPED["name"]).click()
        assert as_typed(page) == TYPED
    with listening(settings):
        page.goto(f"{base}/start")  # the session, too, outlives a restart
        page.get_by_role("link", name=TYPED["name"]).click()
        assert as_typed(page) == TYPED
        page.get_by_role("button", name="Plan it").last.click()
        expect(page.locator('[id="presses.0.clamp_kn-problem"]')).to_be_visible()
        assert as_typed(page) == TYPED
