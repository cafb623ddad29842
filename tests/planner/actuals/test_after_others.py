"""Planning again from the floor's log where others have worked on a press since the last entry."""

from typing import Any

import pytest

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.reading import read
from tests.planner.plan.test_others_work import TUESDAY, document

SHOTS = {"what": "shots", "press": "p", "tool": "saucer", "colours": ["white"], "shots": 500}


@pytest.mark.parametrize(
    ("leaves", "as_of", "holds", "unknown", "mounted"),
    [
        (["pp/black"], "2027-01-12T10:30", "pp/black", False, None),
        ([], "2027-01-12T10:30", None, True, None),
        ([], "2027-01-12T07:00", None, True, None),  # they are at it
        (["pp/black"], "2027-01-12T05:00", "pp/white", False, "saucer"),  # they have not come yet
    ],
)
def test_what_others_did_since_the_last_entry_counts(
    leaves: list[str], as_of: str, holds: str | None, unknown: bool, mounted: str | None
) -> None:
    """Their tool is in the press and their melt in the barrel, named or not; before they come it is as we left it."""
    campaign = read(document([TUESDAY | {"leaves": leaves}]))
    entries: list[dict[str, Any]] = [SHOTS | {"at": "2027-01-11T14:00"}]
    now = from_here(campaign, None, Actuals.model_validate({"as_of": as_of, "entries": entries})).campaign
    press = now.presses["p"]
    assert (press.barrels[0].holds, press.barrels[0].unknown, press.tool) == (holds, unknown, mounted)


def test_shots_after_they_have_gone_are_ours_again() -> None:
    """What we moulded since is what it holds."""
    campaign = read(document([TUESDAY | {"leaves": []}]))
    entries = [SHOTS | {"at": "2027-01-12T13:00"}]
    actuals = Actuals.model_validate({"as_of": "2027-01-12T14:00", "entries": entries})
    press = from_here(campaign, None, actuals).campaign.presses["p"]
    assert (press.barrels[0].holds, press.barrels[0].unknown, press.tool) == ("pp/white", False, "saucer")
