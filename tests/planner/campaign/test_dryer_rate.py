"""Dryers are machines: kilograms an hour = what they hold / hours. A press must not draw more."""

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.campaign.dryer_rate import drawn_kg_per_hour, dryer_kg_per_hour, outruns_dryer
from planner.errors import CampaignProblems
from planner.reading import read
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

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
    assert dryer_kg_per_hour(made, "pa") == pytest.approx(2.5)
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


def test_the_auditor_sees_a_dryer_that_is_outrun() -> None:
    """8 g every 50 s are 0.58 kg an hour; 3.9 kg in 9 h are 0.43, and the run takes 5.7 kg."""
    pot = pot_campaign()
    tpe = pot.resins["tpe"].model_copy(update={"dryer_kg": 3.9, "drying_hours": 9.0})
    slow = pot.model_copy(update={"resins": pot.resins | {"tpe": tpe}})
    found = [text for rule in audit(slow, pot_plan()).rules for text in rule.findings if "its dryer dries" in text]
    assert len(found) == 2, "both runs of the shell"
    assert "draws 0.5" in found[0]
    enough = pot.model_copy(update={"resins": pot.resins | {"tpe": tpe.model_copy(update={"drying_hours": 3.0})}})
    assert audit(enough, pot_plan()).holds
