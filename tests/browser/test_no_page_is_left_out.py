"""Every page that can be opened is judged by axe somewhere: none is written without anybody looking at it."""

import pytest

from tests.api.page_addresses import ELSEWHERE, OPENED, addresses
from tests.browser.conftest import judged


def test_what_is_opened_elsewhere_is_a_page():
    """The rest is opened by test_every_page, whatever is added."""
    assert sorted(set(ELSEWHERE) - set(addresses())) == []
    assert len(OPENED) > 30


@pytest.mark.browser
def test_pages_that_belong_to_no_list(open_page, seeded):
    """What the service refuses, one kind of it, and a link that has ended."""
    page = open_page("phone")
    for address in ("/problems", "/problems/campaign", "/s/none"):
        page.goto(f"{seeded[0]}{address}")
        judged(page, f"{address.strip('/').replace('/', '-')}-phone")
