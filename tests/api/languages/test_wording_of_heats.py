"""How a purge between two heats is told to whoever stands at the barrel."""

from typing import Any

from api.languages.wording import heat_and_bridge
from planner.plan.document import BetweenHeats, GoesIn, Purge

SOFT = GoesIn(resin="pp", least_c=200, most_c=230)
WARMED = BetweenHeats(from_c=190, set_c=230, old_stands_c=210, new_stands_c=260)


def said(**given: Any) -> str:
    """Of a purge from POM to PP that takes ten minutes, of which the barrel heats for five."""
    purge = {
        "where": "barrel", "barrel": 1, "from": "pom/natural", "to": "pp/sage", "kg": 2.0, "kg_p10": 1.0, "kg_p90": 3.0,
        "shots": 0, "seconds": 600, "cost": 4.0, "basis": "estimated", "heat_seconds": 300,
    }  # fmt: skip
    return heat_and_bridge(Purge.model_validate(purge | given)).replace("\u202f", " ")


def test_where_no_heats_are_known_only_the_time_is_said():
    """And at which heat what comes goes in, where that is known; no word of it where it is not."""
    assert said() == "heat or cool for 5 min; "
    assert said(goes_in=[SOFT]) == "heat or cool for 5 min, pp goes in at 200 to 230 °C; "
    assert said(heat_seconds=0) == ""


def test_what_must_be_out_before_it_is_hotter_is_said():
    """Acetal that is heated breaks down: the heat it stands is named before the one to come."""
    words = said(heat=WARMED)
    assert words.startswith("heat for 5 min, from 190 to 230 °C, pom must be out before it is hotter than 210 °C")
    cooled = said(heat=BetweenHeats(from_c=260, set_c=200, old_stands_c=280, new_stands_c=230))
    assert cooled == "cool for 5 min, from 260 to 200 °C, pp goes in at 230 °C at most; "


def test_what_comes_goes_in_at_that_heat_or_on_the_way():
    """As the heat it is set to lies among those at which it may go in, or beyond."""
    assert "pp goes in at 200 to 230 °C" in said(heat=WARMED, goes_in=[SOFT])
    late = said(heat=WARMED, goes_in=[GoesIn(resin="pp", least_c=195, most_c=205)])
    assert "pp goes in on the way, at 195 to 205 °C" in late


def test_a_bridge_comes_first():
    """With its kilograms, then the heat; with no more than its kilograms where nothing is heated."""
    assert (
        said(heat_seconds=0, bridge="pe", bridge_kg=0.5)
        == "0.50 kg of pe goes between (counted in the kilograms), then "
    )
    between = said(bridge="pe", bridge_kg=0.5, goes_in=[GoesIn(resin="pe", least_c=190, most_c=190), SOFT])
    assert between == (
        "0.50 kg of pe goes between at 190 °C (counted in the kilograms), heat or cool for 5 min, "
        "pp goes in at 200 to 230 °C, then "
    )
