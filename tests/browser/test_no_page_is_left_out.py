"""Every page that can be opened is judged by axe somewhere: none is written without anybody looking at it."""

import importlib
import pkgutil
import re

import pytest
from fastapi.routing import APIRoute

from api import pages
from tests.browser.conftest import judged
from tests.browser.test_every_page import ALONE, LEAVES

ELSEWHERE = {
    "/plans/{plan_id}/compared": "test_the_whole_story",
    "/plans/{plan_id}/revised": "test_the_whole_story",
    "/plans/{plan_id}/changes": "test_the_whole_story",
    "/plans/{plan_id}/orders/aside": "test_every_page, of a messy table",
    "/problems": "below",
    "/problems/{kind}": "below",
    "/s/{secret}": "below, where the link has ended",
    "/static/{name}": "no page",
}
"""Pages that ask for something done first, and who opens them."""


def addresses() -> set[str]:
    """Of every page: GET routes of the pages' modules, but for files and pieces of pages that a script asks for."""
    found = set()
    for module in pkgutil.iter_modules(pages.__path__):
        router = getattr(importlib.import_module(f"api.pages.{module.name}"), "router", None)
        for route in getattr(router, "routes", []):
            if isinstance(route, APIRoute) and "GET" in route.methods and not re.search(r"[.]\w+$", route.path):
                found.add(route.path)
    return found


def test_each_is_in_a_list():
    judged = {*ALONE, *(f"/plans/{{plan_id}}{leaf}" for leaf in LEAVES), *ELSEWHERE}
    judged = {path.replace("/runs/r1", "/runs/{run_id}") for path in judged}
    assert sorted(addresses() - judged) == []
    assert len(addresses()) > 30


@pytest.mark.browser
def test_pages_that_belong_to_no_list(open_page, seeded):
    """What the service refuses, one kind of it, and a link that has ended."""
    page = open_page("phone")
    for address in ("/problems", "/problems/campaign", "/s/none"):
        page.goto(f"{seeded[0]}{address}")
        judged(page, f"{address.strip('/').replace('/', '-')}-phone")
