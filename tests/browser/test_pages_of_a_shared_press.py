"""Pages of a press that others use, of melts nobody knows and of acetal: nothing is cut off, on a phone neither."""

import pytest

from tests.api.plan_fixtures import publish
from tests.browser.conftest import SIZES, judged
from tests.planner.plan.test_others_work import ACETAL, TUESDAY, document, planned

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def plans(seeded):
    """Addresses of two plans: others leave what nobody knows; acetal comes after what they leave."""
    address, service = seeded
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200}
    tool = {"hot_runner_kg": [0.1], "clamp_kn": 0}
    unknown = document([TUESDAY | {"leaves": []}], press={"barrels": [barrel]}, tool=tool)
    acetal = document([TUESDAY], resins=ACETAL, resin="pom")
    return {
        name: f"{address}/plans/{publish(service, *planned(data))}"
        for name, data in (("unknown", unknown), ("acetal", acetal))
    }


@pytest.mark.parametrize("name", ["unknown", "acetal"])
def test_every_page_that_speaks_of_it_fits(open_page, plans, name):
    """Words of the sheet at the press and of the runs are there, and no page is wider than the window."""
    page = open_page("desk")
    for leaf in ("", "/press", "/runs", "/purge", "/buying", "/paper", "/change", "/pictures"):
        page.goto(plans[name] + leaf)
        page.wait_for_load_state("networkidle")
        for size in SIZES:
            judged(page, f"shared-{name}{leaf.replace('/', '-')}-{size}", axe=size == "phone", size=size)
    page.goto(plans[name] + "/runs")
    said = page.inner_text("main")
    assert "others" in said
    assert ("goes in on the way, at 204 to 230 °C" in said) == (name == "acetal")
