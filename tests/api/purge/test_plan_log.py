"""What the workshop's purge log does to a plan, and planning it anew with the log."""

import json

from planner.campaign import Campaign
from tests.api.plan_fixtures import publish, publish_pots
from tests.api.purge.test_purge_log import write
from tests.planner_double import SMALL_CAMPAIGN
from tests.support.pot_campaign import CAMPAIGN
from tests.support.pot_plan import pot_plan


def test_a_plan_says_how_its_total_moves_when_the_log_grows(app):
    """The pots: an estimate from sage to white that the log doubles; an absurd entry is shown, and moves nothing."""
    campaign = Campaign.model_validate(CAMPAIGN | {"purging": {}})
    here = f"/v1/plans/{publish(app.service, campaign, pot_plan())}"
    before = app.client.get(f"{here}/purge-log").json()
    assert before["new"] == before["in_campaign"] == 0
    assert before["kg_without_log"] == before["kg_as_planned"] == before["kg_with_workshop_log"] > 0
    told = [p for run in pot_plan().runs if run.changeover for p in run.changeover.purges if p.where == "barrel"]
    first = told[0]
    press = next(run.press for run in pot_plan().runs if run.changeover and first in run.changeover.purges)
    pair = {"press": press, "barrel": first.barrel, "from": first.from_, "to": first.to}
    write(app, **pair | {"kg": 4.0})
    write(app, **pair | {"kg": 4000.0})
    write(app, press="nowhere")
    after = app.client.get(f"{here}/purge-log").json()
    assert (after["new"], after["not_of_this_campaign"]) == (2, 1)
    assert after["kg_as_planned"] == before["kg_as_planned"]
    assert after["kg_with_workshop_log"] != before["kg_as_planned"]
    assert [one["entry"] for one in after["set_aside"]] == [1]
    assert after["barrels"][0]["entries"] == 1


def test_planning_anew_with_the_log(app):
    """The campaign's log grows by what is new, once; the next revision waits for a worker."""
    here = f"/v1/plans/{publish_pots(app.service)}"
    tag = {"If-Match": app.client.get(here).headers["etag"]}
    assert app.client.post(f"{here}/purge-log", headers=tag).status_code == 409
    write(app, **{"press": "one", "from": "pp/white", "to": "pp/sage", "kg": 1.5})
    assert app.client.post(f"{here}/purge-log").status_code == 428
    queued = app.client.post(f"{here}/purge-log", headers=tag | {"Idempotency-Key": "k"})
    assert (queued.status_code, queued.json()["status"], queued.json()["revision"]) == (202, "queued", 2)
    again = app.client.post(f"{here}/purge-log", headers=tag | {"Idempotency-Key": "k"})
    assert again.headers["idempotent-replay"] == "true"
    log = app.client.get(f"{here}/campaign").json()["purging"]["log"]
    assert [(entry["from"], entry["kg"]) for entry in log] == [("pp/white", 1.5)]
    assert app.client.get(f"{here}/purge-log").status_code == 409


def test_a_plan_without_a_result_has_nothing_to_move(app):
    here = app.client.post(
        "/v1/plans", content=json.dumps(SMALL_CAMPAIGN), headers={"Content-Type": "application/json"}
    )
    assert app.client.get(f"{here.headers['location']}/purge-log").status_code == 409
