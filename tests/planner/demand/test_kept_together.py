"""Why tools that make one part stay at one place though their presses stand at several (RULES.md, F11.1)."""

import pytest

from examples.situations import campaign_of
from planner.campaign import Campaign
from planner.demand.standing import groups, kept_together
from planner.reading import read

FIRM = {"finishing_firms": {"painter": {"lead_days": 2}}}


def with_part(part: dict[str, object], **more: object) -> Campaign:
    """The campaign whose copies work at two places, with more said of the part that they make."""
    document = campaign_of("copies-at-two-places").model_dump(mode="json", by_alias=True, exclude_unset=True)
    document["parts"]["foot"] |= part
    return read(document | more)


def test_nothing_keeps_copies_together_that_are_at_two_places() -> None:
    campaign = campaign_of("copies-at-two-places")
    assert [bool(group.apart) for group in groups(campaign)] == [True]
    assert kept_together(campaign) == []


@pytest.mark.parametrize(
    ("part", "more", "why"),
    [
        ({"finishing": [{"what": "painting", "at": "painter"}]}, FIRM, "firm"),
        ({"moulded_over": {"pieces": {"nut": 1}}}, {"pieces": {"nut": {"lead_days": 1}}}, "over"),
    ],
)
def test_what_is_done_with_a_part_keeps_its_tools_together(part, more, why) -> None:
    campaign = with_part(part, **more)
    (kept,) = kept_together(campaign)
    assert (kept.why, kept.of) == (why, "foot")
    assert [group.apart for group in groups(campaign)] == [()]
    assert kept.tools == groups(campaign)[0].tools


def test_a_dried_resin_keeps_its_tools_together() -> None:
    document = campaign_of("copies-at-two-places").model_dump(mode="json", by_alias=True, exclude_unset=True)
    (resin,) = document["resins"]
    document["resins"][resin] |= {"drying_hours": 2}
    (kept,) = kept_together(read(document))
    assert (kept.why, kept.of) == ("dried", resin)


def test_inserts_of_one_base_stay_together() -> None:
    document = campaign_of("copies-at-two-places").model_dump(mode="json", by_alias=True, exclude_unset=True)
    for tool in document["tools"].values():
        tool["base"] = "bolster"
    (kept,) = kept_together(read(document))
    assert (kept.why, kept.of) == ("base", "bolster")


def test_no_tool_has_a_choice_where_no_press_stands_elsewhere() -> None:
    assert kept_together(campaign_of("two-tools-for-one-part")) == []
