"""Dryers are machines: kilograms an hour = what they hold / hours. A press must not draw more.

Source of the sum: the common sizing rule of hopper dryers, first in first out: what it holds = draw x drying time.
"""

import pytest

from planner.campaign import Campaign
from planner.campaign.dryer_rate import drawn_kg_per_hour, keeps_hours, outruns_dryer, window_seconds
from planner.errors import CampaignProblems
from planner.reading import read

MELTS = ("pa/grey",)


def campaign(dryer_kg: float | None = 10, hours: float = 4, count: int = 3000, **press: object) -> dict[str, object]:
    """43 g of PA66 a shot, 2 % of it masterbatch, at 18 s a shot."""
    return {
        "name": "hinges", "start": "2027-01-11T06:00",
        "presses": {"a": {"barrels": [{"holdup_kg": 0.3, "shot_max_g": 120, "clean": True}], "clamp_kn": 500,
                          "efficiency": 1, "hours": {"mon-fri": "06:00-22:00"}} | press},
        "tools": {"hinge": {"cavities": {"hinge": 2}, "cycle_s": 18, "presses": ["a"], "clamp_kn": 90}},
        "resins": {"pa": {"family": "PA66", "stock_kg": 900, "drying_hours": hours, "drying_c": 80}
                   | ({} if dryer_kg is None else {"dryer_kg": dryer_kg})},
        "colours": {"grey": {"hex": "#888888", "stock_kg": 90}},
        "parts": {"hinge": {"barrels": [{"resin": "pa", "mass_g": 21.5}]}},
        "products": {"hinge": {"parts": {"hinge": 1}, "colourways": {"grey": {"hinge": ["grey"]}}}},
        "tiers": {"one": {"units": {"hinge": 1}}},
        "orders": [{"tier": "one", "units": {"hinge": ["grey"]}, "count": count}],
    }  # fmt: skip


def problems(document: dict[str, object]) -> list[str]:
    """Pointers of what is wrong with it."""
    try:
        read(document)
    except CampaignProblems as refused:
        return [problem.pointer for problem in refused.problems]
    return []


def test_what_a_press_draws_and_a_dryer_dries() -> None:
    """By hand: 200 shots an hour of 43 g, 98 % resin: 8.428 kg; 10 kg in 4 h: 2.5 kg an hour."""
    made = Campaign.model_validate(campaign())
    assert drawn_kg_per_hour(made, "hinge", "a", MELTS) == pytest.approx({"pa": 8.428})
    assert window_seconds(made, "pa") == 4 * 3600
    assert outruns_dryer(made, "hinge", "a", MELTS, 1500) == "pa"
    slow = Campaign.model_validate(campaign(efficiency=0.29))
    assert outruns_dryer(slow, "hinge", "a", MELTS, 1500) is None


def test_a_dryer_that_is_outrun_is_refused_at_its_field() -> None:
    """65 kg at 8.4 kg an hour from a 10 kg dryer of 4 h: refused; 34 kg in it are enough; so is one load for a few."""
    assert problems(campaign()) == ["/resins/pa/dryer_kg"]
    assert problems(campaign(dryer_kg=34)) == []
    assert problems(campaign(hours=1.1)) == []
    assert problems(campaign(count=150)) == []
    assert problems(campaign(dryer_kg=None)) == []


def test_a_run_pinned_where_the_dryer_is_outrun() -> None:
    """The other press is slow enough: only the pin is wrong."""
    document = campaign()
    document["presses"]["slow"] = document["presses"]["a"] | {"efficiency": 0.25}  # type: ignore[index]
    document["tools"]["hinge"]["presses"] = ["a", "slow"]  # type: ignore[index]
    assert problems(document) == []
    document["presses"]["a"] |= {"begins_with": [{"tool": "hinge", "colours": ["grey"]}]}  # type: ignore[index]
    assert problems(document) == ["/presses/a/begins_with/0/tool"]


def test_what_is_drawn_after_people_have_left_was_filled_in_before() -> None:
    """8.428 kg/h for 4 h of drying and 2 h lights out, and five minutes before leaving: 51.27 kg, not 33.7."""
    document = campaign(dryer_kg=51)
    document["floor"] = {"attended": {"hours": {"mon-fri": "06:00-20:00"}}}
    document["presses"]["a"] |= {"lights_out": {"hours": 2}}  # type: ignore[index]
    assert problems(document) == ["/resins/pa/dryer_kg"]
    document["resins"]["pa"]["dryer_kg"] = 51.3  # type: ignore[index]
    assert problems(document) == []


def test_dried_resin_that_would_stay_too_long_is_refused() -> None:
    """The first 4 h of a day come out of the evening's filling; with 8 h lights out its last is dry for 4 h 5 min."""
    document = campaign(dryer_kg=900)
    document["resins"]["pa"]["dried_keeps_hours"] = 3.5  # type: ignore[index]
    assert problems(document) == [], "nobody says when people are there: it can be filled at any time"
    document["floor"] = {"attended": {"hours": {"mon-fri": "06:00-14:00"}}}
    assert problems(document) == ["/resins/pa/dried_keeps_hours"]
    document["resins"]["pa"]["dried_keeps_hours"] = 4  # type: ignore[index]
    assert problems(document) == []
    document["presses"]["a"] |= {"lights_out": {"hours": 8}}  # type: ignore[index]
    assert problems(document) == ["/resins/pa/dried_keeps_hours"]
    document["resins"]["pa"]["dried_keeps_hours"] = 4.2  # type: ignore[index]
    assert problems(document) == []


def test_how_long_a_family_may_stay() -> None:
    """Polyamides half a day, ABS a day (common practice, from memory), never less than they dry."""
    document = campaign()
    document["resins"] |= {"abs": {"family": "ABS", "drying_hours": 3}, "x": {"drying_hours": 14}}  # type: ignore[operator]
    made = Campaign.model_validate(document)
    assert [keeps_hours(made, resin) for resin in ("pa", "abs", "x")] == [12, 24, 14]


def test_a_tool_does_not_draw_two_resins_from_one_dryer() -> None:
    """A two-shot tool whose two resins go through one dryer: it holds one at a time."""
    document = campaign(dryer_kg=None)
    document["presses"]["a"]["barrels"] *= 2  # type: ignore[index]
    document["resins"]["abs"] = {"family": "ABS", "stock_kg": 90, "drying_hours": 2}  # type: ignore[index]
    document["parts"]["hinge"]["barrels"].append({"resin": "abs", "mass_g": 5})  # type: ignore[index]
    document["products"]["hinge"]["colourways"] = {"grey": {"hinge": ["grey", "grey"]}}  # type: ignore[index]
    assert problems(document) == []
    for resin in ("pa", "abs"):
        document["resins"][resin]["dryer"] = "one"  # type: ignore[index]
    assert problems(document) == ["/resins/abs/dryer"]
