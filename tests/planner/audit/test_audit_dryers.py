"""A3, A9 and A12 of dryers: a plan whose two presses draw two resins from one dryer, and ways to spoil it."""

from collections.abc import Callable
from typing import Any

import pytest

from planner.audit import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.document import RunPlan
from planner.planning.make import make_plan
from planner.planning.verdict import SET_ASIDE
from planner.reading import read
from tests.support.shared_dryer import shared_dryer
from tests.support.spoils.ways import later

Spoil = Callable[[dict[str, Any], dict[str, Any]], None]


@pytest.fixture(scope="module")
def made() -> tuple[dict[str, Any], RunPlan]:
    document = shared_dryer()
    return document, make_plan(read(document), Unhurried())


def test_one_resin_after_the_other_with_cleaning_in_between(made: tuple[dict[str, Any], RunPlan]) -> None:
    """Both presses are free at once, and the second waits: emptied, cleaned for 20 min, filled, dried, and paid."""
    _, plan = made
    assert plan.audit is not None
    assert plan.audit.holds
    first, second = sorted(plan.runs, key=lambda run: run.start)
    assert (first.press, second.press) != (second.press, first.press)
    assert second.waits_for == "its dryer"
    loads = [load for load in plan.drying if load.cleaned_from is not None]
    (load,) = loads
    assert load.cleaned_from is not None
    assert load.cleaned_until is not None
    assert load.cleaned_from >= first.end
    assert (load.cleaned_until - load.cleaned_from).total_seconds() == 20 * 60
    assert load.load_at >= load.cleaned_until
    assert (load.dry_at - load.load_at).total_seconds() >= 3600 * (2 if load.resin == "abs" else 4)
    setters = sum((run.changeover.end - run.changeover.start).total_seconds() for run in plan.runs if run.changeover)
    (line,) = [cost.amount for cost in plan.costs if cost.what == "setter hours"]
    assert line == pytest.approx((setters + 20 * 60) / 3600 * 30)


def _cleaned(plan: dict[str, Any]) -> dict[str, Any]:
    return next(load for load in plan["drying"] if load["cleaned_from"])


def _not_cleaned(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    _cleaned(plan).update(cleaned_from=None, cleaned_until=None)


def _cleaned_in_a_hurry(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    load = _cleaned(plan)
    load["cleaned_until"] = later(load["cleaned_until"], -600)


def _cleaned_while_it_is_drawn_from(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    load = _cleaned(plan)
    load["cleaned_from"], load["cleaned_until"] = later(load["cleaned_from"], -60), later(load["cleaned_until"], -60)


def _cleaned_for_nothing(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    first = plan["drying"][0]
    first["cleaned_from"], first["cleaned_until"] = later(first["load_at"], -1200), first["load_at"]


def _loaded_while_the_other_is_drawn(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    load = _cleaned(plan)
    load["load_at"] = later(plan["drying"][0]["used_until"], -60)


def _filled_too_little(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    load = max(plan["drying"], key=lambda one: one["kg"])
    load["fill_kg"] *= 0.5


def _stays_longer_than_said(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    plan["drying"][0]["waits_hours"] -= 0.5


def _stays_longer_than_it_may(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    campaign["resins"][plan["drying"][0]["resin"]]["dried_keeps_hours"] = 3.0


def _smaller_dryer(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    """What is filled in still fits, and less tops it up than is drawn in 4 h."""
    for load in plan["drying"]:
        load["fill_kg"] = min(load["fill_kg"], 32.0)
    for resin in campaign["resins"].values():
        resin["dryer_kg"] = 32.5


def _two_at_once(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    """The lids' load is said to be in use while the hinges still draw."""
    run = next(run for run in plan["runs"] if run["waits_for"])
    for part in (run, *run["stretches"]):
        part["start"] = later(part["start"], -4 * 3600)


def _loaded_at_night(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    load = plan["drying"][-1]
    load["load_at"] = later(load["load_at"], 3600)


def _cleaned_at_night(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    load = _cleaned(plan)
    campaign["floor"]["attended"]["hours"] = {"mon-fri": "06:00-15:20, 15:40-22:00"}
    load["cleaned_from"], load["cleaned_until"] = later(load["cleaned_from"], 0), later(load["cleaned_until"], 0)


def _cleaning_not_paid(campaign: dict[str, Any], plan: dict[str, Any]) -> None:
    line = next(cost for cost in plan["costs"] if cost["what"] == "setter hours")
    line["amount"] -= 10


@pytest.mark.parametrize(
    ("rule", "spoil"),
    [
        ("A3", _not_cleaned), ("A3", _cleaned_in_a_hurry), ("A3", _cleaned_while_it_is_drawn_from),
        ("A3", _cleaned_for_nothing), ("A3", _loaded_while_the_other_is_drawn), ("A3", _filled_too_little),
        ("A3", _stays_longer_than_said), ("A3", _stays_longer_than_it_may), ("A3", _smaller_dryer),
        ("A3", _two_at_once), ("A9", _loaded_at_night), ("A9", _cleaned_at_night), ("A12", _cleaning_not_paid),
    ],
    ids=lambda one: getattr(one, "__name__", one),
)  # fmt: skip
def test_a_spoilt_plan_is_caught(rule: str, spoil: Spoil, made: tuple[dict[str, Any], RunPlan]) -> None:
    document, plan = shared_dryer(), made[1].model_dump(mode="json", by_alias=True)
    spoil(document, plan)
    found = audit(Campaign.model_validate(document), RunPlan.model_validate(plan))
    assert rule in {verdict.rule for verdict in found.rules if not verdict.holds}


def test_two_presses_draw_one_resin_together_only_as_fast_as_it_dries() -> None:
    """8.4 and 8.4 kg an hour, in 4 h and five minutes: 68.8 kg. One after the other where the dryer holds 40."""
    for holds, together in ((69.0, True), (40.0, False)):
        document = shared_dryer(dryer_kg=holds)
        document["parts"]["lid"] = {"barrels": [{"resin": "pa", "mass_g": 43}]}
        document["floor"]["setters"] = 2
        plan = make_plan(read(document), Unhurried())
        assert plan.audit is not None
        assert plan.audit.holds
        first, second = sorted(plan.runs, key=lambda run: run.start)
        assert (second.start < first.end) == together
        assert second.waits_for == ("" if together else "its dryer")


def test_a_pause_after_the_filling_is_used_up_is_no_shortage() -> None:
    """What is filled in for four hours is drawn by nine, when the press closes; it opens again at half past eleven, and
    what was put in at seven is dry at ten. Half a filling is short all the same."""
    barrel = {"holdup_kg": 0.2, "shot_max_g": 200, "clean": True}
    hours = {"mon-fri": "07:00-09:00, 11:30-15:00"}
    document = {
        "name": "pause",
        "start": "2027-01-11T06:00",
        "presses": {"p": {"barrels": [barrel], "clamp_kn": 500, "hours": hours}},
        "tools": {"t": {"cavities": {"cup": 1}, "cycle_s": 36, "clamp_kn": 300, "presses": ["p"], "mount_minutes": 10}},
        "resins": {"asa": {"family": "ASA", "stock_kg": 90, "drying_hours": 3, "natural_colour": "clear"}},
        "colours": {"clear": {"let_down_percent": 0}},
        "parts": {"cup": {"barrels": [{"resin": "asa", "mass_g": 50}]}},
        "products": {"q": {"parts": {"cup": 1}, "colourways": {"w": {"cup": ["clear"]}}}},
        "tiers": {"one": {"units": {"q": 1}}},
        "orders": [{"tier": "one", "units": {"q": ["w"]}, "count": 250}],
        "floor": {"attended": {"hours": {"mon-fri": "07:00-15:30"}}},
        "planning": {"rounds": 1},
    }
    campaign = read(document)
    plan = make_plan(campaign, Unhurried())
    assert not any(one.about == SET_ASIDE for one in plan.cautions)
    assert audit(campaign, plan).holds
    (load,) = plan.drying
    assert load.fill_kg is not None
    half = load.model_copy(update={"fill_kg": load.fill_kg / 2})
    verdict = audit(campaign, plan.model_copy(update={"drying": [half]}))
    assert [rule.rule for rule in verdict.rules if not rule.holds] == ["A3"]
