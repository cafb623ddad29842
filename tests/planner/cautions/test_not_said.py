"""What the campaign does not say and the plan takes for granted is said as a caution, not passed over."""

from planner.cautions import cautions_for
from tests.planner.cautions.test_cautions import about, campaign, run


def test_a_barrel_of_which_nothing_is_said() -> None:
    """Taken for empty, with what it would cost if it is not: 4 hold-ups of 0.4 kg (common practice) are 1.6 kg."""
    presses = {"p": {"barrels": [{"holdup_kg": 0.4, "shot_max_g": 200}], "clamp_kn": 500}}
    (found,) = cautions_for(campaign(presses=presses), [run()])
    assert found.about == "unsaid p"
    assert "1.60 kg more (4 hold-ups)" in found.text
    presses["p"]["barrels"][0]["holds"] = "s/c"
    assert cautions_for(campaign(presses=presses), [run()]) == []


def test_a_tool_of_which_clamp_force_and_hot_runner_are_not_said() -> None:
    """0 kN is no clamp force that a tool could ask for: it was not said, so it was not checked."""
    tool = {"cavities": {"a": 4}, "cycle_s": 27, "presses": ["p"], "hot_runner_kg": [0.2]}
    assert about(cautions_for(campaign(tools={"t": tool}), [run()])) == ["unsaid t", "clamp t"]
    said = tool | {"clamp_kn": 90, "hot_runner_has_held": ["r"]}
    assert cautions_for(campaign(tools={"t": said}), [run()]) == []


def test_a_family_that_is_always_dried_and_is_not() -> None:
    """PA66 with 0 h of drying: said with the usual hours and their source; PP need not be dried."""
    resins = {"r": {"family": "nylon 66", "stands_cold": True}, "s": {"family": "PP"}}
    (found,) = cautions_for(campaign(resins=resins), [run()])
    assert found.about == "dry r"
    assert "2 to 4 h at 80 to 85 °C" in found.text
    resins["r"] |= {"drying_hours": 3}
    assert about(cautions_for(campaign(resins=resins), [run()])) == ["dryer r"]
    resins["r"] |= {"dryer_kg": 20}
    assert cautions_for(campaign(resins=resins), [run()]) == []
