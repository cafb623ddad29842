"""The time pages begin with: the maker's wall clock, never before the plan begins."""

from datetime import datetime, timedelta
from types import SimpleNamespace
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from api.pages import wall_clock
from api.pages.wall_clock import now_at, stands_at

ZONE = ZoneInfo("Pacific/Auckland")


def shown(days: int) -> Any:
    """A plan that begins so many days from now; negative: has begun."""
    start = datetime.now(ZONE).replace(microsecond=0) + timedelta(days=days)
    return SimpleNamespace(plan=SimpleNamespace(time_zone=str(ZONE), start=start), row=SimpleNamespace(id="p"))


def test_before_a_plan_begins_it_is_its_beginning_and_then_the_makers_own_clock() -> None:
    later = shown(5)
    assert now_at(later) == later.plan.start.replace(tzinfo=None)
    before = datetime.now(ZONE).replace(tzinfo=None)
    assert abs(now_at(shown(-5)) - before) < timedelta(minutes=5)


@pytest.mark.parametrize("ahead", [-2, 3])
def test_a_log_that_runs_ahead_of_the_clock_is_gone_on_from(monkeypatch: pytest.MonkeyPatch, ahead: int) -> None:
    """Of its entries the last, in whatever order they are listed; one that is over moves nothing."""
    plan = shown(-5)
    now = now_at(plan)
    at = [now + timedelta(hours=hours) for hours in (ahead, ahead - 1)]
    answer = SimpleNamespace(json=lambda: {"entries": [{"entry": {"at": one.isoformat()}} for one in at]})
    monkeypatch.setattr(wall_clock, "ask", lambda request, how, address: answer)
    said = datetime.fromisoformat(stands_at(SimpleNamespace(), plan))  # type: ignore[arg-type]
    assert abs(said - max(now, now + timedelta(hours=ahead))) < timedelta(minutes=5)
