"""Dryers that would have to be loaded when nobody is there."""

from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from planner.cautions import cautions_for
from planner.cautions.unattended import somebody_there
from planner.material import DryingLoad
from tests.planner.cautions.test_cautions import about, campaign, run

LONDON = ZoneInfo("Europe/London")


def at(day: int, hour: int) -> datetime:
    return datetime(2027, 1, day, hour, tzinfo=LONDON)


@pytest.mark.parametrize(
    ("day", "hour", "there"),
    [(12, 3, False), (12, 7, True), (12, 21, False), (13, 2, True), (14, 7, False), (15, 7, False), (15, 12, True)],
)
def test_who_is_there(day: int, hour: int, there: bool) -> None:
    """Mon to Fri 06:00-14:00, a night shift from the 12th into the 13th at another press, the 14th a holiday, the 15th
    another opening; benches closed."""
    barrel = {"holdup_kg": 0.4, "shot_max_g": 200, "clean": True}
    presses = {
        "p": {"barrels": [barrel], "clamp_kn": 500, "hours": {"mon-fri": "06:00-14:00"},
              "on_dates": {"2027-01-15": "10:00-14:00"}},
        "q": {"barrels": [barrel], "clamp_kn": 500, "hours": {"tue": "22:00-06:00"}},
    }  # fmt: skip
    closed = {"hours": {"mon": "07:00-08:00"}}
    made = campaign(presses=presses, closed_days=["2027-01-14"], assembly=closed, packing=closed)
    assert somebody_there(made, at(day, hour)) is there


def test_a_load_at_three_in_the_morning_is_said() -> None:
    """Once per dryer, with how often and when first."""
    loads = [DryingLoad("d", "r", 5, at(n, 3), at(n, 6), at(n, 6), at(n, 9), ("r1",), "") for n in (12, 13)]
    dried = {"resins": {"r": {"family": "PP", "drying_hours": 3, "dryer_kg": 9}, "s": {"family": "PE"}}}
    (found,) = cautions_for(campaign(**dried), [run()], drying=loads)
    assert found.about == "unattended d"
    assert "2 times" in found.text
    assert "Tue 12 Jan 2027 03:00" in found.text
    by_timer = DryingLoad("d", "r", 5, at(12, 13), at(13, 6), at(13, 6), at(13, 9), ("r1",), "")
    (found,) = cautions_for(campaign(**dried), [run()], drying=[by_timer])
    assert "once" in found.text
    assert "Wed 13 Jan 2027 03:00" in found.text
    day = DryingLoad("d", "r", 5, at(12, 9), at(12, 12), at(12, 12), at(12, 15), ("r1",), "")
    assert about(cautions_for(campaign(), [run()], drying=[day])) == []
