"""What a campaign's colours are warned of: common practice, by finish and by what they are moulded in."""

from planner.campaign import Campaign
from planner.purge.cautions import colour_cautions
from planner.purge.finish import COMMON_PRACTICE, WHITE_ELASTOMER
from tests.planner.cautions.test_cautions import campaign

WHITE = f"{WHITE_ELASTOMER} ({COMMON_PRACTICE})"


def told(*melts: str, **colour: object) -> dict[str, list[str]]:
    asked = campaign("TPE", "PP", colours={"c": {"hex": "#ffffff", **colour}, "d": {"hex": "#336633"}})
    assert isinstance(asked, Campaign)
    return colour_cautions(asked, melts)


def test_white_is_warned_of_in_a_soft_resin_only() -> None:
    """Resin r is an elastomer, s is none: white moulded in either of them, or in both."""
    assert told("r/c") == {"c": [WHITE]}
    assert told("s/c") == {}
    assert told("r/c", "s/c") == told("s/c", "r/c") == {"c": [WHITE]}
    assert told("r/d", "s/c") == {}


def test_a_finish_is_warned_of_in_any() -> None:
    assert "flakes" in told("s/c", finish="metallic")["c"][0]
