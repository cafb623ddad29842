"""Findings about a set of colours: each is raised where it should be, and not where it should not."""

from planner.purge.barrel import Barrel
from planner.purge.colour import from_hex
from planner.purge.estimate import Melt, MeltKey
from planner.purge.given import GivenPurge
from planner.purge.matrix import PurgeFigures, purge_figures
from planner.purge.sanity import clashing_orders, hard_changes, near_colours

WHITE, BLACK, CREAM = from_hex("#ffffff"), from_hex("#101010"), from_hex("#fffdf6")
SAGE, TERRA = from_hex("#9caf88"), from_hex("#c8643c")


def figures(hot_runner: float = 0.2) -> PurgeFigures:
    colours = {"white": WHITE, "sage": SAGE, "terracotta": TERRA, "black": BLACK}
    return purge_figures(Barrel("p1.1", 0.5, hot_runner), [Melt("pp", k, a) for k, a in colours.items()])


def test_two_whites_are_too_near_to_tell_apart_after_contamination() -> None:
    found = near_colours([("white", WHITE), ("sage", SAGE), ("off-white", from_hex("#fdfdfb"))], 1.0)
    assert [f.concerns for f in found] == [("white", "off-white")]
    assert "CIEDE2000" in found[0].message
    assert found[0].remedy


def test_colours_well_apart_raise_nothing() -> None:
    assert near_colours([("white", WHITE), ("sage", SAGE), ("black", BLACK)], 1.0) == []
    assert near_colours([("white", WHITE)], 1.0) == []


def test_a_wider_tolerance_finds_more_near_colours() -> None:
    pair = [("white", WHITE), ("cream", CREAM)]
    assert near_colours(pair, 0.5) == []
    assert len(near_colours(pair, 3.0)) == 1


def test_equal_colours_of_another_finish_are_warned_of() -> None:
    pair = [("silver", from_hex("#a8a9ad", "metallic")), ("grey", from_hex("#a8a9ad"))]
    (found,) = near_colours(pair, 1.0)
    assert (found.kind, found.concerns) == ("finishes side by side", ("silver", "grey"))
    assert "metallic" in found.message
    assert "common practice" in found.message
    assert near_colours([pair[0], ("night", BLACK)], 1.0) == []


def test_light_body_with_dark_rim_and_the_reverse_clash() -> None:
    body, rim = figures(), figures()
    names = ["snow", "meadow", "night"]
    found = clashing_orders(names, [(body, [0, 1, 3]), (rim, [3, 1, 0])])
    assert [f.kind for f in found] == ["cleaning orders clash"]
    assert "together they purge" in found[0].message
    assert "run " in found[0].remedy


def test_rims_that_darken_with_the_body_do_not_clash() -> None:
    assert clashing_orders(["snow", "meadow", "night"], [(figures(), [0, 1, 3]), (figures(), [0, 1, 3])]) == []
    assert clashing_orders(["snow", "night"], [(figures(), [0, 3])]) == []


def test_white_after_black_on_the_only_hot_runner_is_found_with_remedies() -> None:
    found = hard_changes(figures(), [3, 0, 1])
    assert [f.concerns for f in found] == [("pp in black", "pp in white")]
    for words in ("run pp in white", "barrel and tool of its own", "purging compound"):
        assert words in found[0].remedy


def test_light_to_dark_or_a_cold_runner_raises_nothing() -> None:
    assert hard_changes(figures(), [0, 1, 2, 3]) == []
    assert hard_changes(figures(hot_runner=0.0), [3, 0]) == []


def test_no_other_order_is_offered_when_there_is_none_better() -> None:
    """A purge given for white to black makes that order dear, so black to white stays, with other remedies."""
    dear = GivenPurge(MeltKey("pp", "white"), MeltKey("pp", "black"), 50.0)
    melts = purge_figures(figures().barrel, figures().melts, given=[dear])
    (found,) = hard_changes(melts, [3, 0])
    assert "run " not in found.remedy
    assert "purging compound" in found.remedy
