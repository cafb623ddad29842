"""People who stay at presses where people look: a run's page, the press, paper, the picture, calendar and lists."""

import re

import pytest

from api.exports.plan_events import plan_events
from api.exports.plan_lists import plan_lists
from api.paper.setting import written
from api.paper.writing import write_paper
from api.pictures.colours import swatches
from api.pictures.floor import floor_svg
from examples.situations import campaign_of, plan_of
from tests.api.plan_fixtures import publish

STAYS = "one person stays at the press while it moulds"
PLANS = {}


@pytest.fixture
def made():
    if not PLANS:
        PLANS["operators"] = plan_of("operators")
    return campaign_of("operators"), PLANS["operators"]


def test_pages_of_its_runs_say_so_and_no_others(app, made):
    campaign, plan = made
    plan_id = publish(app.service, campaign, plan)
    for run in plan.runs:
        page = app.client.get(f"/plans/{plan_id}/runs/{run.id}").text
        assert (STAYS in page) == (run.tool != "cap"), run.tool
        at_the_press = app.client.get(f"/plans/{plan_id}/press?run={run.id}").text
        assert (STAYS.capitalize() in at_the_press) == (run.tool != "cap"), run.tool


def test_in_german(app, made):
    campaign, plan = made
    plan_id = publish(app.service, campaign, plan)
    run = next(run for run in plan.runs if run.operators)
    page = app.client.get(f"/plans/{plan_id}/runs/{run.id}", headers={"Accept-Language": "de"}).text
    assert "eine Person bleibt an der Maschine" in page
    assert "Bedienern" in app.client.get(f"/plans/{plan_id}", headers={"Accept-Language": "de"}).text


def test_on_paper_in_the_picture_in_calendar_and_list(made):
    campaign, plan = made
    number = sum(bool(run.operators) for run in plan.runs)
    paper = written(write_paper(plan, campaign, 1, "https://shop.example/plans/1"), swatches(campaign.colours))
    assert sorted(run["stays"] for run in paper["runs"]) == [""] * (len(plan.runs) - number) + [STAYS] * number
    assert len(re.findall(STAYS, floor_svg(plan, campaign))) == number
    stretches = sum(len(run.stretches) for run in plan.runs if run.operators)
    assert sum(STAYS in event.notes for event in plan_events(plan)) == stretches
    headings, rows = plan_lists(campaign, plan)["Runs"]
    place = headings.index("People who stay")
    assert sorted(row[place] for row in rows) == sorted(run.operators for run in plan.runs)
