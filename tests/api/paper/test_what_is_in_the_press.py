"""A run sheet says what is in the press before it is heated, and what to tell those who take it over."""

from typing import Any

import pytest

from api.exports.plan_events import plan_events
from api.paper.setting import written
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from planner import wording
from planner.campaign import Campaign
from planner.cautions import cautions_for
from planner.plan.document import RunPlan
from tests.planner.plan.test_others_work import ACETAL, TUESDAY, document, planned

Json = dict[str, Any]

PC = {"pc": {"family": "PC", "price_per_kg": 4, "stock_kg": 200, "natural_colour": "clear"}}


@pytest.fixture(scope="module")
def unknown() -> tuple[Campaign, RunPlan]:
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200}
    tool = {"hot_runner_kg": [0.1], "clamp_kn": 0}
    return planned(document([TUESDAY | {"leaves": []}], press={"barrels": [barrel]}, tool=tool))


def sheets(campaign: Campaign, plan: RunPlan) -> list[Json]:
    """The run sheets as texts, in order of work."""
    paper = write_paper(plan, campaign, 1, "http://localhost:8000/plans/p")
    found: list[Json] = written(paper, swatches(campaign.colours))["runs"]
    return found


def test_what_nobody_knows_comes_first_and_is_asked_for(unknown: tuple[Campaign, RunPlan]) -> None:
    """On the first sheet the barrel and the hot runner at the start, on the second what others left; each with its
    caution, whom to ask before it is heated, and a clamp force to work out."""
    first, second = sheets(*unknown)
    titles = [step[0] for step in first["steps"]]
    assert any(
        title.startswith("Purge barrel 1 of what nobody knows, to pp/white: begin no hotter") for title in titles
    )
    assert any(title.startswith("Purge hot runner 1 of what nobody knows") for title in titles)
    assert titles[0] == "Find out what is in barrel 1 and hot runner 1, before you heat it"
    assert titles[1] == "Warm up the press"
    about = [caution[0] for caution in first["cautions"]]
    assert {"unknown melt p", "unknown melt saucer", "clamp saucer"} <= set(about)
    assert ["clamp", "not said: ask whoever made the tool"] in first["settings"]
    held_shut, mounted = (next(n for n, t in enumerate(titles) if word in t) for word in ("clamp force", "Lock out"))
    assert held_shut < mounted
    ask, mount = (next(step for step in second["steps"] if word in step[0]) for word in ("Find out", "Lock out"))
    assert second["steps"].index(ask) < second["steps"].index(mount)
    assert "nobody knows what is in barrel 1: ask them before you heat it" in ask[1]
    assert mount[0] == "Lock out, then mount saucer in place of theirs"
    about = [caution[0] for caution in second["cautions"]]
    assert "unknown melt p" in about
    assert "unknown melt saucer" not in about  # its hot runner went out with it


@pytest.mark.parametrize(("resin", "left"), [("pp", "pp/white"), ("pom", "pe/clear")])
def test_those_who_take_over_are_told_what_they_find(resin: str, left: str) -> None:
    """Our melt, or what acetal was cleared with."""
    campaign, plan = planned(document([TUESDAY], resins=ACETAL, resin=resin))
    first = sheets(campaign, plan)[0]
    assert first["after"].startswith(
        "others take the press over from Tue 12 Jan 2027 06:00: lock out and take saucer out"
    )
    assert first["after"].endswith(f"tell them that barrel 1 holds {left}")
    notes = " ".join(event.notes for event in plan_events(plan))
    assert first["after"] in notes
    assert (
        "others worked here until Tue 12 Jan 2027 10:00; their tool is in the press, and barrel 1 holds pp/black"
        in notes
    )


def test_a_sheet_says_how_hot_the_barrel_may_be_for_what_goes_in() -> None:
    """After PP at 232 acetal goes in on the way down, at 230 degrees at most, where PP still flows (204); set points
    and what each stands are the plan's."""
    campaign, plan = planned(document([TUESDAY], resins=ACETAL, resin="pom"))
    second = sheets(campaign, plan)[1]
    (purge,) = [wording.plain(step[0]) for step in second["steps"] if "barrel 1: pp/black" in step[0]]
    assert purge.endswith("first cool for 11 min, from 232 to 200 °C, pom goes in on the way, at 204 to 230 °C")
    hotter = planned(document([TUESDAY | {"leaves": ["pp/black"]}], resins=ACETAL | PC, resin="pc"))
    (purge,) = [wording.plain(step[0]) for step in sheets(*hotter)[1]["steps"] if "barrel 1: pp/black" in step[0]]
    assert (
        "of pe goes between at 204 to 260 °C (counted in the kilograms), heat for 13 min, from 232 to 296 °C" in purge
    )
    assert purge.endswith("pp must be out before it is hotter than 260 °C, pc goes in on the way, at 271 to 274 °C")


def test_acetal_is_cleared_with_its_cautions_and_at_the_heat_that_suits_both() -> None:
    """Nothing is changed before the run, so that nothing but the closings throws melt; PE flows from 182, acetal from
    190 and stands 230 (Polyplastics Duracon, 2.1)."""
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200, "holds": "pom/white"}
    campaign, plan = planned(document([], resins=ACETAL, resin="pom", press={"tool": "saucer", "barrels": [barrel]}))
    sheet = next(one for one, run in zip(sheets(campaign, plan), plan.runs, strict=True) if run.changeover is None)
    (how,) = [wording.plain(step[1]) for step in sheet["steps"] if step[0].startswith("Never leave it to stand")]
    assert "barrel 1 of pom/white with 1.50 kg of pe/clear at 190 to 230 °C" in how
    about = {caution[0] for caution in sheet["cautions"]}
    assert {"purging", "fumes of POM", "POM (acetal) and PVC", "POM in the barrel", "standing pom"} <= about


def test_what_is_purged_out_is_spoken_of_on_the_sheet_though_nobody_moulds_it() -> None:
    """The barrel begins with acetal; the run is of PP."""
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200, "holds": "pom/white"}
    campaign, plan = planned(document([], resins=ACETAL, press={"barrels": [barrel]}))
    (sheet,) = sheets(campaign, plan)
    about = {caution[0] for caution in sheet["cautions"]}
    assert {"purging", "fumes of POM", "POM (acetal) and PVC"} <= about
    assert "POM in the barrel" not in about


def test_pairs_the_maker_forbids_stand_on_the_sheets_of_both() -> None:
    pair = [{"one": "pp", "other": "pe", "why": "it stains"}]
    barrel = {"holdup_kg": 0.5, "shot_max_g": 200, "holds": "pp/black"}
    campaign, plan = planned(document([], press={"barrels": [barrel]}, forbidden_pairs=pair))
    (run,) = plan.runs
    both = plan.model_copy(
        update={"cautions": [*cautions_for(campaign, [run, run.model_copy(update={"melts": ["pe/white"]})])]}
    )
    about = {caution[0] for caution in sheets(campaign, both)[0]["cautions"]}
    assert "pe and pp" in about


def test_nothing_is_said_where_nobody_else_is() -> None:
    campaign, plan = planned(document([]))
    (sheet,) = sheets(campaign, plan)
    assert sheet["after"] == ""
    assert not any("Find out" in step[0] or "theirs" in step[0] for step in sheet["steps"])
