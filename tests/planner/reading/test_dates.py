"""Dates are found wherever a document may hold one."""

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from planner.campaign import Campaign
from planner.reading.checks import dates

ROOT = Path(__file__).resolve().parents[3]
DOCUMENTS = sorted([*(ROOT / "examples" / "situations").glob("*.json"), ROOT / "examples" / "herb-planter.json"])


def everywhere(value: object) -> Iterator[date]:
    """Every date in plain data, looked for without knowing any type."""
    if isinstance(value, date):
        yield value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from everywhere(key)
            yield from everywhere(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from everywhere(item)


@pytest.mark.parametrize("file", DOCUMENTS, ids=lambda file: file.stem)
def test_the_walk_by_types_finds_what_looking_everywhere_finds(file) -> None:
    """What can hold no date by its type is left out, which must not leave out a date."""
    campaign = Campaign.model_validate(json.loads(file.read_text()))
    found = [moment for _, moment in dates._dates(campaign, ())]
    assert sorted(map(str, found)) == sorted(map(str, everywhere(campaign.model_dump(exclude={"orders"}))))
    assert found


def test_a_promise_may_lie_anywhere_and_what_is_waited_for_within_ten_years() -> None:
    """Nothing waits for a promise, nor for a holiday."""
    said = json.loads((ROOT / "examples" / "herb-planter.json").read_text())
    for tier in said["tiers"].values():
        tier["promised"] = "2099-12-31"
    said["closed_days"].append("2099-12-25")
    said["tools"]["valve"]["ready"] = "2037-01-08"  # the campaign's start is ten years before, to the day or so
    assert dates.check(Campaign.model_validate(said)) == []
    said["tools"]["valve"]["ready"] = "2037-01-09"
    assert [p.pointer for p in dates.check(Campaign.model_validate(said))] == ["/tools/valve/ready"]
