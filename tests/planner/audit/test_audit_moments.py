"""How the auditor reads moments, by hand."""

from datetime import datetime

import pytest

from planner.audit.moments import Clock


@pytest.mark.parametrize(
    ("written", "well"),
    [
        ("2027-07-05T06:00:00+01:00", True),
        ("2027-01-11T06:00:00+00:00", True),
        ("2027-07-05T06:00:00", False),
        ("2027-07-05T06:00:00.5+01:00", False),
        ("2027-07-05T05:00:00+00:00", False),
    ],
)
def test_a_moment_is_a_whole_second_with_the_offset_of_that_day(written: str, well: bool) -> None:
    """London in summer and winter; without an offset, in the middle of a second, with the winter's offset in summer."""
    assert Clock("Europe/London").well_written(datetime.fromisoformat(written)) == well
