"""Every picture in German: no word that is not a name stands there in English, in a text, a title or a description."""

import html
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta

import pytest

from api.languages import reading
from api.languages.reading import Reader
from api.pictures.cost import cost_svg
from api.pictures.curves import curves_svg
from api.pictures.dispatches import dispatch_svg
from api.pictures.either_way import either_way_svg
from api.pictures.floor import floor_svg
from api.pictures.path import path_svg
from api.pictures.progress import Point, progress_svg
from api.pictures.slips import slips_svg
from api.pictures.stock import stock_svg
from api.purge.picture import changes_svg
from api.purge.schemas import ColourChanges
from api.services.standing_promise import Sure
from planner.campaign.materials import Look
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.slips.document import Cell, SlipRow, SlipTable, TierChange
from tests.api.plan_fixtures import publish_pots
from tests.api.purge.asking import ask, question
from tests.planner.expected.test_branches import trial
from tests.support.carton_campaign import campaign
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

PLAN, POTS = pot_plan(), pot_campaign()
SURE = {
    tier.tier: Sure(p50=date(2027, 1, 20), by=date(2027, 1, 21), p95=date(2027, 1, 25), chance=chance)
    for tier, chance in zip(PLAN.tiers, (0.9, 0.6), strict=True)
}
NAMES = {"Pots", "shell", "tray", "bowl", "looks"} | set(re.findall(r"[\w-]+", POTS.model_dump_json()))


def slip_table() -> SlipTable:
    """One tool that delays a tier, keeps another, and cannot be carried out when it slips more."""
    gone = date(2027, 2, 5)
    tiers = [
        TierChange(tier="one", before=gone, after=gone + timedelta(4), days=4, promised=gone, days_late=4),
        TierChange(tier="pair", before=gone, after=None, days=0, promised=None, days_late=0),
    ]
    cells = [
        Cell(
            kind="tool", name="shell", days=days, policy=policy, possible=days == 3, audited=True, cost=1.0,
            cost_change=0.0, purge_kg_change=0.0, runs_moved=0, tiers=tiers if days == 3 else [],
        )
        for days in (3, 10)
        for policy in ("nothing else changes", "planned anew")
    ]  # fmt: skip
    row = SlipRow(kind="tool", name="shell", slack_days=0, verdict="big", harm=9.0, words="w", cells=cells)
    return SlipTable(slips=[3, 10], rows=[row])


def either_way() -> str:
    both = trial({"a": 4, "b": 2}, {"a": 30, "b": 40}, 0.5, 8, "as planned")
    plan = make_plan(both, Unhurried())
    assert plan.outcome.expected is not None
    assert plan.outcome.expected.branches is not None
    return either_way_svg(plan.outcome.expected.branches, both, plan.start)


def sampled() -> str:
    return curves_svg(make_plan(campaign(parts__bowl__inspection__defects={"looks": {"aql": 1.0}}), Unhurried()))


BEGUN = datetime(2027, 1, 11, 6)
PICTURES: dict[str, Callable[[], str]] = {
    "floor": lambda: floor_svg(PLAN, POTS, None, SURE),
    "floor as planned": lambda: floor_svg(PLAN, POTS),
    "path": lambda: path_svg(PLAN, POTS),
    "stock": lambda: stock_svg(PLAN, POTS),
    "dispatches": lambda: dispatch_svg(PLAN, None, SURE),
    "cost": lambda: cost_svg(PLAN),
    "curves": sampled,
    "no curves": lambda: curves_svg(PLAN),
    "slips": lambda: slips_svg(slip_table()),
    "slips on a phone": lambda: slips_svg(slip_table(), 320),
    "progress": lambda: progress_svg([Point(BEGUN, 100.0, 80.0)], BEGUN, 100.0),
    "either way": either_way,
}


@pytest.fixture(autouse=True)
def nobody_afterwards() -> Iterator[None]:
    yield
    reading.begin(reading.NOBODY)


def texts_of(picture: str) -> set[str]:
    """What is read of a picture, and what is heard."""
    joined = re.sub(r"</?tspan[^>]*>", "", picture)
    found = re.findall(r">([^<>]+)<", joined) + re.findall(r'aria-label="([^"]*)"', joined)
    return {html.unescape(text).strip() for text in found}


def left_english(draw: Callable[[], str], names: set[str]) -> set[str]:
    """Texts with a word of four letters that stand in both pictures, but for names."""
    both = []
    for reader in (Reader("en", "en_GB"), Reader("de", "de")):
        reading.begin(reader)
        both.append(texts_of(draw()))
    return {text for text in both[0] & both[1] if not names.issuperset(re.findall(r"[A-Za-z]{4,}", text))}


@pytest.mark.parametrize("name", PICTURES)
def test_no_text_of_a_picture_stays_english(name):
    assert left_english(PICTURES[name], NAMES) == set()


def test_a_text_that_stays_is_found():
    """The check can fail."""
    assert left_english(lambda: "<text>parcels leave</text><text>pair</text>", NAMES) == {"parcels leave"}


def test_words_within_a_text_are_german_too():
    """Days and runs in a sentence do not make it another one: what is English of each title is listed by its words."""
    reading.begin(Reader("de", "de"))
    found = " ".join(text for draw in PICTURES.values() for text in texts_of(draw()))
    english = re.compile(r"\b(the|of|from|with|for|purge|shots|makes|leave|days|late|promised|gone)\b")
    assert english.findall(found) == []


def test_a_picture_is_asked_for_in_a_language(app):
    """As a file too, where no page says who reads it; weights in pounds for who wants them."""
    here = f"/v1/plans/{publish_pots(app.service)}/pictures"
    assert "Schuss" not in app.client.get(f"{here}/floor.svg").text
    german = app.client.get(f"{here}/floor.svg?language=de&weights=lb").text
    assert "Schuss" in german
    assert "\u202flb" in german
    assert app.client.get(f"{here}/floor.svg?language=xx").status_code == 422


def test_the_picture_of_colour_changes(app):
    """Drawn on a page, for its reader."""
    asked = question()
    answer = ColourChanges.model_validate(ask(app, "colour-changes", asked).json())
    looks = {name: Look.model_validate(look) for name, look in asked["colours"].items()}
    names = set(re.findall(r"[\w-]+", str(asked)))
    assert left_english(lambda: changes_svg(answer, looks), names) == set()
    assert left_english(lambda: changes_svg(answer, looks, 320, answer.melts[0].melt), names) == set()
