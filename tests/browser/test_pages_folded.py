"""Long pages are a few screens of a phone: one thing large, the rest folded and none of it lost, with script and
without: an address into a folded part opens it, and paper shows all."""

import pytest
from playwright.sync_api import expect

from tests.api.plan_fixtures import publish
from tests.support.pot_plan import pot_plan
from tests.support.sixty_runs import sixty_runs

pytestmark = pytest.mark.browser
PHONE = {"width": 390, "height": 844}
SCREENS = {"": 9, "/promises": 6, "/runs": 2, "/parcels": 2, "/buying": 2, "/pictures": 2, "/purge": 6}
"""How many screens of a phone each page of the plan of sixty runs takes at most; runs took 34, buying 21 before."""


SEEN = """words => [...document.querySelectorAll('main details th')]
  .some(one => one.textContent === words && one.checkVisibility({contentVisibilityAuto: true}))"""


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_sixty_runs_fit_a_few_screens_of_a_phone(open_page, seeded, script):
    """With the longest names; each page has one thing set large, and what is folded says what it holds."""
    base, service = seeded
    plan_id = publish(service, *sixty_runs())
    page = open_page(viewport=PHONE, java_script_enabled=script)
    for leaf, screens in SCREENS.items():
        page.goto(f"{base}/plans/{plan_id}{leaf}")
        assert page.evaluate("document.documentElement.scrollHeight") <= screens * PHONE["height"], leaf
        if leaf in ("", "/runs", "/buying"):
            expect(page.locator("main .figure").first).to_be_visible()
        for line in page.locator("main details.section > summary").all():
            if leaf != "/pictures":  # where the title says what is in it: one picture
                expect(line.locator(".holds")).not_to_be_empty()


@pytest.mark.parametrize("script", [True, False], ids=["script", "no-script"])
def test_an_address_into_a_folded_part_opens_it(open_page, pots, script):
    """A run in its press, the cautions of a plan, what is bought."""
    page = open_page("phone", java_script_enabled=script)
    for where in (f"/runs#{pot_plan().runs[-1].id}", "#cautions", "#lines", "/buying#materials", "/buying#parts"):
        page.goto("about:blank")
        page.goto(f"{pots}{where}")
        expect(page.locator(f'[id="{where.partition("#")[2]}"]')).to_be_visible()


def test_paper_shows_what_is_folded(open_page, pots):
    page = open_page()
    for leaf, words in (("", "total"), ("/runs", "Waited for"), ("/buying", "Chance of enough")):
        page.goto(f"{pots}{leaf}")
        assert not page.evaluate(SEEN, words), leaf
        page.emulate_media(media="print")
        page.wait_for_function(SEEN, arg=words)
        page.emulate_media(media="screen")
