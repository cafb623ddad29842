"""What barrels and hot runners hold at first: known, clean, or unknown and then purged at the worst."""

import copy
from collections.abc import Callable
from typing import Any

import pytest

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.audit import audit
from planner.campaign import Campaign
from planner.errors import CampaignProblems
from planner.plan.document import Purge, RunPlan
from planner.reading import read
from tests.planner.plan.test_others_work import document, planned

Json = dict[str, Any]
BARREL: Json = {"holdup_kg": 0.5, "shot_max_g": 200, "plasticising_kg_h": 60}
RUNNER: Json = {"hot_runner_kg": [0.2]}
PC: Json = {"pc": {"family": "PC", "price_per_kg": 4, "stock_kg": 200, "natural_colour": "clear"},
            "pom": {"family": "POM", "natural_colour": "clear"}}  # fmt: skip


def campaign_of(barrel: Json, tool: Json, **more: Any) -> Json:
    return document([], press={"barrels": [BARREL | barrel]}, tool=tool, **more)


def purges(plan: RunPlan) -> list[Purge]:
    return [purge for run in plan.runs if run.changeover for purge in run.changeover.purges]


@pytest.fixture(scope="module")
def unsaid() -> tuple[Campaign, RunPlan]:
    return planned(campaign_of({}, RUNNER))


def test_what_nobody_says_is_purged_at_the_worst_and_said(unsaid: tuple[Campaign, RunPlan]) -> None:
    """By hand: 8 hold-ups of a colour nobody described. 4.0 kg of the barrel at half of 60 kg/h, 480 s; 1.6 kg of the
    hot runner in 32 shots of 50 g at 36 s over 0.9 efficiency, 1280 s."""
    campaign, plan = unsaid
    shot_s = 36 / campaign.presses["p"].efficiency
    assert [(one.where, one.from_, one.kg, one.shots, one.seconds) for one in purges(plan)] == [
        ("barrel", "unknown melt", 4.0, 0, 480),
        ("hot runner", "unknown melt", 1.6, 32, pytest.approx(32 * shot_s, abs=1)),
    ]
    assert all(one.kg_p10 == 0 < one.kg < one.kg_p90 for one in purges(plan))
    assert {"unknown melt p", "unknown melt saucer"} <= {one.about for one in plan.cautions}
    assert audit(campaign, plan).holds


@pytest.mark.parametrize(
    ("barrel", "runner", "found"),
    [
        ({"clean": True}, {"hot_runner_clean": True}, []),
        ({"holds": "pp/black"}, {"hot_runner_holds": ["pp/black"]}, ["pp/black", "pp/black"]),
        ({"holds": "pp/white"}, {"hot_runner_holds": ["pp/white"]}, []),
        ({"clean": True}, {"hot_runner_has_held": ["pp"]}, ["unknown melt"]),
        ({"unknown": True}, {"hot_runner_clean": True}, ["unknown melt"]),
    ],
)
def test_what_is_said_is_purged_as_it_is(barrel: Json, runner: Json, found: list[str]) -> None:
    """Clean is nothing, our own melt is nothing; of resins held on trials nobody knows the colour."""
    campaign, plan = planned(campaign_of(barrel, RUNNER | runner))
    assert [one.from_ for one in purges(plan)] == found
    assert audit(campaign, plan).holds
    assert any(one.about.startswith("unknown melt") for one in plan.cautions) == ("unknown melt" in found)


def test_a_hot_resin_does_not_go_where_nobody_knows_what_is() -> None:
    """PC is moulded at 271 degrees and more, what nobody knows is counted on to stand 230: the barrel takes a bridge or
    is asked for, the hot runner, into which nothing can go between, is asked for; acetal in it stands no more."""
    _, plan = planned(campaign_of({}, RUNNER | {"hot_runner_has_held": ["pc"]}, resins=PC, resin="pc"))
    assert [(one.where, one.bridge) for one in purges(plan)] == [("barrel", "pe"), ("hot runner", "")]
    for without_pe, runner, fields in (
        (False, {}, ["/tools/saucer/hot_runner_has_held"]),
        (True, {"hot_runner_clean": True}, ["/presses/p/barrels/0/holds"]),
        (False, {"hot_runner_has_held": ["pom"]}, ["/tools/saucer/hot_runner_has_held"]),
        (False, {"hot_runner_holds": ["pom/clear"]}, ["/tools/saucer/hot_runner_holds"]),
    ):
        data = campaign_of({}, RUNNER | runner, resins=PC, resin="pc")
        if without_pe:
            del data["resins"]["pe"]
        else:
            data["presses"]["p"]["barrels"][0]["clean"] = True
        with pytest.raises(CampaignProblems) as wrong:
            read(data)
        assert [p.pointer for p in wrong.value.problems] == fields


def test_stock_covers_all_and_nobody_says_what_the_barrel_holds() -> None:
    """Nothing is moulded, so no melt is known at all: packed and sent all the same, and nothing is purged."""
    data = campaign_of({}, RUNNER)
    data["parts"]["saucer"]["stock"] = [{"colours": ["white"], "count": 1000}]
    campaign, plan = planned(data)
    assert plan.runs == []
    assert audit(campaign, plan).holds


def test_a_purging_compound_listed_as_a_resin_goes_between() -> None:
    """Bought and reconciled like any resin (A11), with the heat that its data sheet says; without one it cannot."""
    scrub = {"family": "other", "neither_acetal_nor_halogenated": True, "price_per_kg": 6, "lead_days": 0}
    heat = {"melt_c": [180, 320], "survives_c": 330, "stands_cold": True}
    data = campaign_of({}, {}, resins=PC | {"scrub": scrub | heat}, resin="pc")
    del data["resins"]["pe"]
    campaign, plan = planned(data)
    (purge,) = purges(plan)
    assert (purge.bridge, purge.bridge_kg) == ("scrub", 1.5)
    (line,) = [one for one in plan.materials if one.id == "scrub"]
    assert line.used_kg == pytest.approx(1.5)
    assert line.bought_kg >= line.used_kg
    assert audit(campaign, plan).holds
    data["resins"]["scrub"] = scrub
    with pytest.raises(CampaignProblems):
        read(data)


def test_what_is_said_of_a_hot_runner_is_held_against_the_rest() -> None:
    """Clean and full at once, melts that are not there, more melts than barrels, PVC where acetal was."""
    vinyl = {
        "vinyl": {"family": "PVC-U", "natural_colour": "clear"},
        "pom": {"family": "POM", "natural_colour": "clear"},
    }
    for runner, field in (
        ({"hot_runner_clean": True, "hot_runner_holds": ["pp/white"]}, "hot_runner_clean"),
        ({"hot_runner_holds": ["pp/mauve"]}, "hot_runner_holds/0"),
        ({"hot_runner_holds": ["pp/white", "pp/black"]}, "hot_runner_holds"),
    ):
        with pytest.raises(CampaignProblems) as wrong:
            read(campaign_of({"clean": True}, RUNNER | runner))
        assert f"/tools/saucer/{field}" in [p.pointer for p in wrong.value.problems]
    with pytest.raises(CampaignProblems) as wrong:
        read(campaign_of({"clean": True}, RUNNER | {"hot_runner_holds": ["pom/clear"]}, resins=vinyl, resin="vinyl"))
    assert "/tools/saucer/hot_runner_holds" in [p.pointer for p in wrong.value.problems]


def test_planned_again_a_hot_runner_holds_what_was_moulded_last() -> None:
    """No longer clean, nor unknown: the last entry's melt; the barrel likewise."""
    campaign, plan = planned(campaign_of({}, RUNNER))
    entry = {
        "what": "shots", "at": "2027-01-11T12:00", "press": "p", "tool": "saucer", "colours": ["white"], "shots": 100,
    }  # fmt: skip
    log = Actuals.model_validate({"as_of": "2027-01-11T12:30", "entries": [entry]})
    now = from_here(campaign, plan, log).campaign
    tool = now.tools["saucer"]
    assert (tool.hot_runner_holds, tool.hot_runner_clean, tool.hot_runner_has_held) == (["pp/white"], False, ["pp"])
    assert now.presses["p"].barrels[0].holds == "pp/white"


def left_out(where: str) -> Callable[[Json, Json], None]:
    def spoil(campaign: Json, plan: Json) -> None:
        change = plan["runs"][0]["changeover"]
        change["purges"] = [one for one in change["purges"] if one["where"] != where]

    return spoil


def shaved(where: str) -> Callable[[Json, Json], None]:
    def spoil(campaign: Json, plan: Json) -> None:
        for one in plan["runs"][0]["changeover"]["purges"]:
            if one["where"] == where:
                one["kg"] = one["kg"] / 2

    return spoil


def sure_of_the_least(campaign: Json, plan: Json) -> None:
    for one in plan["runs"][0]["changeover"]["purges"]:
        one["kg_p10"] = one["kg"] / 2


def caution_left_out(about: str) -> Callable[[Json, Json], None]:
    def spoil(campaign: Json, plan: Json) -> None:
        plan["cautions"] = [one for one in plan["cautions"] if one["about"] != about]

    return spoil


def clamp_unsaid_and_not_told(campaign: Json, plan: Json) -> None:
    campaign["tools"]["saucer"]["clamp_kn"] = 0


def known_after_all(campaign: Json, plan: Json) -> None:
    campaign["tools"]["saucer"]["hot_runner_holds"] = ["pp/black"]


def too_hot_for_what_nobody_knows(campaign: Json, plan: Json) -> None:
    campaign["resins"]["pp"] |= {"melt_c": [240, 270]}


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        (left_out("barrel"), "A5"), (left_out("hot runner"), "A5"), (shaved("barrel"), "A5"),
        (shaved("hot runner"), "A5"), (sure_of_the_least, "A5"), (known_after_all, "A5"),
        (too_hot_for_what_nobody_knows, "A5"), (caution_left_out("unknown melt p"), "A6"),
        (caution_left_out("unknown melt saucer"), "A6"), (clamp_unsaid_and_not_told, "A6"),
    ],
)  # fmt: skip
def test_each_way_of_passing_over_it_is_caught(
    unsaid: tuple[Campaign, RunPlan], spoil: Callable[[Json, Json], None], rule: str
) -> None:
    """The auditor's own reading of what is there at first, its own sums, and the cautions that a plan owes."""
    campaign, plan = (copy.deepcopy(one.model_dump(mode="json", by_alias=True)) for one in unsaid)
    spoil(campaign, plan)
    verdict = audit(Campaign.model_validate(campaign), RunPlan.model_validate(plan))
    assert rule in {one.rule for one in verdict.rules if not one.holds}
