"""Orders that open, and parts that rest, longer than calendars reach beyond the last delivery: planned, not refused."""

from typing import Any

import pytest

from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.finishing import pot_document


def opens_late(data: dict[str, Any]) -> None:
    data["orders"][0]["opens"] = "2029-03-01"


def rests_long(data: dict[str, Any]) -> None:
    data["parts"]["pot"]["rest_hours"] = 24 * 700


@pytest.mark.parametrize("change", [opens_late, rests_long])
def test_what_waits_for_years_is_planned(change: Any) -> None:
    """Once no plan was found of either: no pick-up was laid out so late."""
    data = pot_document()
    change(data)
    data["planning"]["rounds"] = 1
    plan = make_plan(read(data), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    assert max(sent.at.year for sent in plan.dispatches) >= 2028
