"""What the campaign does not say and the plan takes for granted is said as a caution, not passed over."""

import pytest

from planner.cautions import cautions_for
from tests.planner.cautions.test_cautions import about, campaign, run


@pytest.mark.parametrize(("where", "name"), [("barrel", "p"), ("hot runner", "t")])
def test_what_nobody_knows_is_said_where_it_is_purged(where: str, name: str) -> None:
    """With the most that the plan purges there, and whom to ask before it is heated."""
    purged = run(purged=True)
    assert purged.changeover is not None
    (purge,) = purged.changeover.purges
    unknown = purge.model_copy(update={"from_": "unknown melt", "where": where, "kg": 3.2})
    change = purged.changeover.model_copy(update={"purges": [unknown]})
    told = cautions_for(campaign(), [purged.model_copy(update={"changeover": change})])
    (found,) = [one for one in told if one.about == f"unknown melt {name}"]
    assert "3.20 kg" in found.text
    assert "before you heat it" in found.text
    assert "unknown melt" not in " ".join(about(cautions_for(campaign(), [purged])))


def test_a_tool_of_which_no_clamp_force_is_said() -> None:
    """0 kN is no clamp force that a tool could ask for: it was not said, so it was not checked. What its press holds
    is said, and a sum to hold it against: 250 cm2 at 300 bar, 0.025 m2 x 30 MPa, are 750 kN."""
    tool = {"cavities": {"a": 4}, "cycle_s": 27, "presses": ["p"]}
    (found,) = cautions_for(campaign(tools={"t": tool}), [run()])
    assert found.about == "clamp t"
    assert "500 kN in `p`" in found.text
    assert f"{0.025 * 30e6 / 1000:g} kN" in found.text
    assert cautions_for(campaign(tools={"t": tool | {"clamp_kn": 90}}), [run()]) == []


@pytest.mark.parametrize(
    ("melt_c", "asked"),
    [((250, 300), True), ((120, 140), True), ((190, 275), False), ((205, 225), False), (None, False)],
)
def test_a_melt_temperature_far_from_its_familys_is_asked_about(melt_c: tuple[int, int] | None, asked: bool) -> None:
    """PP is usually moulded at 204 to 260 (plastic-industry.com): 300 is 40 beyond, at 120 to 140 it is too stiff."""
    given = {"melt_c": list(melt_c)} if melt_c else {}
    resins = {"r": {"family": "PP"} | given, "s": {"family": "PE"}}
    told = [one for one in cautions_for(campaign(resins=resins), [run()]) if one.about == "heat of r"]
    assert bool(told) == asked
    assert all("204 to 260" in one.text and "plastic-industry.com" in one.source for one in told)


def test_a_family_that_is_always_dried_and_is_not() -> None:
    """PA66 with 0 h of drying: said with the usual hours and their source; PP need not be dried."""
    resins = {"r": {"family": "nylon 66", "stands_cold": True}, "s": {"family": "PP"}}
    (found,) = cautions_for(campaign(resins=resins), [run()])
    assert found.about == "dry r"
    assert "2 to 4 h at 80 to 85 °C" in found.text
    pc = campaign(resins={"r": {"family": "PC", "stands_cold": True}, "s": {"family": "PP"}})
    assert "2 to 4 h at 120 °C" in cautions_for(pc, [run()])[0].text
    resins["r"] |= {"drying_hours": 3}
    assert about(cautions_for(campaign(resins=resins), [run()])) == ["dryer r"]
    resins["r"] |= {"dryer_kg": 20}
    assert cautions_for(campaign(resins=resins), [run()]) == []
