"""Addresses of all pages, read from their routes: whoever goes over every page leaves out none that is new."""

import importlib
import pkgutil
import re

from fastapi.routing import APIRoute

from api import pages

ELSEWHERE = {
    "/plans/{plan_id}/compared": "test_the_whole_story",
    "/plans/{plan_id}/revised": "test_the_whole_story",
    "/plans/{plan_id}/changes": "test_the_whole_story",
    "/plans/{plan_id}/orders/aside": "test_every_page, of a messy table",
    "/problems": "test_no_page_is_left_out",
    "/problems/{kind}": "test_no_page_is_left_out",
    "/s/{secret}": "test_no_page_is_left_out, where the link has ended",
    "/static/{name}": "no page",
}
"""Pages that ask for something done first, and which browser test opens them."""


def addresses() -> list[str]:
    """Of every page: GET routes of the pages' modules, but for files and pieces of pages that a script asks for."""
    found = set()
    for module in pkgutil.iter_modules(pages.__path__):
        router = getattr(importlib.import_module(f"api.pages.{module.name}"), "router", None)
        for route in getattr(router, "routes", []):
            if isinstance(route, APIRoute) and "GET" in (route.methods or ()) and not re.search(r"[.]\w+$", route.path):
                found.add(route.path)
    return sorted(found)


OPENED = [path.replace("{run_id}", "r1") for path in addresses() if path not in ELSEWHERE]
LEAVES = [path.removeprefix("/plans/{plan_id}") for path in OPENED if path.startswith("/plans/{plan_id}")]
"""Pages of a plan, after its own address."""
ALONE = [path for path in OPENED if not path.startswith("/plans/{plan_id}")]
"""Pages that belong to no plan."""
