"""Infeasible is an answer: the API says what is in the way, where in the campaign, and what would help."""

import copy
import html

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.demand.items import run_demands
from planner.planning.make import make_plan
from tests.planner_double import SMALL_CAMPAIGN
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan


def test_what_is_in_the_way_is_said_before_anything_is_queued(app):
    """Presses open ten minutes at a time, no mount fits: a problem document, and no plan."""
    document = copy.deepcopy(SMALL_CAMPAIGN)
    for press in document["presses"].values():
        press["hours"] = {"mon-fri": "08:00-08:10"}
    answer = app.client.post("/v1/plans", json=document)
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    (problem,) = answer.json()["errors"]
    assert problem["pointer"].startswith("/presses/")
    assert "never open longer than 10 min" in problem["message"]
    assert problem["remedy"]
    assert app.client.get("/v1/plans").json()["plans"] == []


def test_what_only_planning_shows_reaches_the_api_and_the_page(app):
    """Resin for the shots and not a gram for the start-up: each problem has its pointer, message and remedy."""
    document = copy.deepcopy(SMALL_CAMPAIGN) | {"planning": {"rounds": 1}}
    campaign = Campaign.model_validate(document)
    (run,) = run_demands(campaign)
    (resin,) = document["resins"].values()
    kg = run.shots * shot_mass_g(campaign, campaign.tools[run.tool])[0] / 1000
    resin |= {"stock_kg": round(kg + 0.001, 3), "lead_days": None, "arrivals": []}
    answer = app.client.post("/v1/plans", json=document)
    assert answer.status_code == 202, answer.text
    plan_id = answer.json()["id"]
    work_on_plan(Hands(app.service.database, app.service.settings, "here"), plan_id, make_plan)
    state = app.client.get(f"/v1/plans/{plan_id}").json()
    assert (state["status"], state["ended_because"]) == ("failed", "infeasible")
    (problem,) = state["problems"]
    assert problem["pointer"].startswith("/resins/")
    assert "runs out" in problem["message"]
    assert "lead_days" in problem["remedy"]
    page = html.unescape(app.client.get(f"/plans/{plan_id}").text)
    assert problem["message"] in page
    assert problem["remedy"] in page
