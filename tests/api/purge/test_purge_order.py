"""POST /v1/purge/order: the best order against light to dark, and against every order there is."""

from itertools import pairwise, permutations

import pytest

from tests.api.purge.asking import ask, greys, kilograms, question


def test_the_best_order_is_the_best_of_all_orders(app):
    """Six colours behind what the barrel holds: exhaustive search finds nothing better."""
    palette = {
        "white": "#ffffff",
        "red": "#c01020",
        "blue": "#1f4fa3",
        "leaf": "#3c8a2e",
        "sun": "#f4c20d",
        "ink": "#15151f",
    }
    asked = question(colours={name: {"hex": text} for name, text in palette.items()}, purging={})
    asked["barrel"]["holds"] = "pp/red"
    kg = kilograms(ask(app, "colour-changes", asked).json())
    said = ask(app, "order", asked).json()
    names = [f"pp/{name}" for name in palette]
    every = [sum(kg.get(pair, 0.0) for pair in pairwise(["pp/red", *order])) for order in permutations(names)]
    assert said["best"]["kg"] == pytest.approx(min(every), abs=1e-6)
    assert said["proven"] is True
    assert sorted(said["best"]["melts"]) == sorted(names)


def test_totals_are_those_of_the_steps_and_light_to_dark_is_matched_or_beaten(app):
    """From what the barrel holds to the last colour; both orders with their steps."""
    said = ask(app, "order", question()).json()
    for which in ("best", "light_to_dark"):
        order = said[which]
        walked = [pair for pair in pairwise(["pp/cream", *order["melts"]]) if pair[0] != pair[1]]
        assert [(step["from"], step["to"]) for step in order["steps"]] == walked
        for total in ("kg", "shots", "minutes", "money"):
            assert order[total] == pytest.approx(sum(step[total] for step in order["steps"]), abs=0.02)
    assert said["saved_kg"] == pytest.approx(said["light_to_dark"]["kg"] - said["best"]["kg"], abs=0.002)
    assert said["saved_kg"] >= 0


def test_greys_from_a_clean_barrel_go_from_light_to_dark(app):
    """Where darkness is all there is, the rule of thumb is right."""
    said = ask(app, "order", greys(30, 230, 90, 160)).json()
    assert said["best"]["melts"] == ["resin/g230", "resin/g160", "resin/g090", "resin/g030"]
    assert said["saved_kg"] == 0


def test_more_colours_than_can_be_proven_say_so(app):
    """Twenty colours: searched, not proven, and still no worse than light to dark."""
    said = ask(app, "order", greys(*range(20, 240, 11))).json()
    assert (len(said["best"]["melts"]), said["proven"]) == (20, False)
    assert said["saved_kg"] >= 0
