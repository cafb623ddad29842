"""POST /v1/plans/{id}/colourway-price: both ways are planned by the worker, then compared."""

import copy

import pytest

from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.planning.make import make_plan
from tests.planner_double import SMALL_CAMPAIGN
from worker.records import reading
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan


def three_cups():
    """A cup in three colourways with masterbatch to be bought in bags."""
    made = copy.deepcopy(SMALL_CAMPAIGN) | {"name": "cups"}
    made["colours"] = {
        name: {"hex": text, "lead_days": 3, "price_per_kg": 10, "min_order_kg": 5}
        for name, text in {"sage": "#8fae8b", "cream": "#efe6cf", "ink": "#232a3f"}.items()
    }
    made["products"]["cup"]["colourways"] = {name: {"cup": [name]} for name in made["colours"]}
    counts = {"sage": 300, "cream": 150, "ink": 50}
    made["orders"] = [{"tier": "one", "units": {"cup": [name]}, "count": n} for name, n in counts.items()]
    made["floor"] = {"setter_rate_per_hour": 30, "disposal_per_kg": 0.3}
    return made


@pytest.fixture
def plan(app):
    return app.client.post("/v1/plans", json=three_cups()).headers["location"]


def ask_price(app, plan, **document):
    answer = app.client.post(f"{plan}/colourway-price", json={"rounds": 2} | document)
    assert answer.status_code == 202, answer.text
    return answer.json()


def made_by_a_worker(app, said):
    """Both plans, worked on as a worker would."""
    for which in ("as_it_is", "changed"):
        work_on_plan(Hands(app.service.database, app.service.settings, "w"), said[which]["id"], make_plan)
    return app.client.get(said["result"])


def test_one_fewer_is_planned_both_ways_and_priced(app, plan):
    """Without ink: its orders go to the others by share; one changeover and one smallest order of masterbatch less."""
    said = ask_price(app, plan, fewer={"colourway": "ink"})
    assert said["moved"] == {"cream": 17, "sage": 33}
    assert said["orders_dropped"] == 0
    for which in ("as_it_is", "changed"):
        assert f"/v1/plans/{said[which]['parent']}" == plan
        assert said[which]["status"] == "queued"
    early = app.client.get(said["result"])
    assert (early.status_code, early.headers["retry-after"]) == (409, "2")
    answer = made_by_a_worker(app, said)
    assert answer.status_code == 200, answer.text
    price = answer.json()
    plans = []
    with app.service.database.read() as connection:
        for which in ("as_it_is", "changed"):
            found = reading.newest_document(connection, said[which]["id"])
            plans.append(RunPlan.model_validate_json(found[1]))
    with_ink, without_ink = plans
    assert price["total"]["difference"] == pytest.approx(without_ink.outcome.total - with_ink.outcome.total, abs=1e-4)
    assert price["proven_low"] <= price["total"]["difference"] <= price["proven_high"]
    assert price["purge_kg"]["changed"] == pytest.approx(without_ink.purge_kg)
    assert price["purge_kg"]["difference"] < 0
    assert price["purge_hours"]["difference"] < 0
    assert price["changeovers"] == {"as_it_is": 3.0, "changed": 2.0, "difference": -1.0}
    assert price["masterbatches_bought"]["difference"] == -1
    assert price["unused_minimum_orders"]["difference"] < 0
    ink = next(line for line in price["masterbatch"] if line["colour"] == "ink")
    assert (ink["bought_kg"]["as_it_is"], ink["bought_kg"]["changed"]) == (5.0, 0.0)
    lines = {line["what"]: line["amount"]["difference"] for line in price["money"]}
    assert sum(lines.values()) == pytest.approx(price["total"]["difference"], abs=1e-4)
    (tier,) = price["tiers"]
    assert tier["days"] is not None
    assert price["parcels"] == {"as_it_is": 500.0, "changed": 500.0, "difference": 0.0}


def test_one_fewer_with_its_orders_dropped(app, plan):
    said = ask_price(app, plan, fewer={"colourway": "ink", "orders": "drop"})
    assert (said["moved"], said["orders_dropped"]) == ({}, 50)
    assert made_by_a_worker(app, said).json()["parcels"]["difference"] == -50


def test_one_more_takes_its_share_of_the_others(app, plan):
    """A fourth colourway in a masterbatch of its own: a quarter of every colour's cups, one more smallest order."""
    moss = {"hex": "#5a6b3b", "lead_days": 3, "price_per_kg": 12, "min_order_kg": 5}
    more = {"colourway": "moss", "parts": {"cup": ["moss"]}, "colours": {"moss": moss}}
    said = ask_price(app, plan, more=more)
    assert said["moved"] == {"moss": 124}
    price = made_by_a_worker(app, said).json()
    assert price["masterbatches_bought"]["difference"] == 1
    assert price["changeovers"]["difference"] == 1
    assert price["purge_kg"]["difference"] > 0
    assert price["parcels"]["difference"] == 0
    campaign = app.client.get(f"/v1/plans/{said['changed']['id']}/campaign").json()
    assert Campaign.model_validate(campaign).products["cup"].colourways["moss"] == {"cup": ["moss"]}


@pytest.mark.parametrize(
    ("document", "pointer"),
    [
        ({}, ""),
        ({"fewer": {"colourway": "ink"}, "more": {"colourway": "x", "parts": {}}}, ""),
        ({"fewer": {"colourway": "puce"}}, "/products/cup/colourways/puce"),
        ({"product": "bowl", "fewer": {"colourway": "ink"}}, "/products/bowl"),
        ({"fewer": {"colourway": "ink", "orders": "burn"}}, "/fewer/orders"),
        ({"more": {"colourway": "ink", "parts": {"cup": ["ink"]}}}, "/products/cup/colourways/ink"),
        ({"more": {"colourway": "moss", "parts": {"cup": ["moss"]}}}, "/products/cup/colourways/moss/cup/0"),
        ({"more": {"colourway": "moss", "parts": {"cup": ["ink"]}, "share": 0.9}}, "/more/share"),
        ({"more": {"colourway": "x", "parts": {"cup": ["ink"]}, "colours": {"ink": {}}}}, "/colours/ink"),
        ({"fewer": {"colourway": "ink"}, "seconds": 0}, "/seconds"),
    ],
)
def test_bad_questions_are_told_where(app, plan, document, pointer):
    """And nothing is queued for them."""
    answer = app.client.post(f"{plan}/colourway-price", json=document)
    assert answer.status_code == 422, answer.text
    assert pointer in {error["pointer"] for error in answer.json()["errors"]}
    assert len(app.client.get("/v1/plans").json()["plans"]) == 1


def test_sent_twice_it_is_asked_once(app, plan):
    headers = {"Idempotency-Key": "k"}
    asked = {"fewer": {"colourway": "ink"}}
    first, second = (app.client.post(f"{plan}/colourway-price", json=asked, headers=headers) for _ in range(2))
    assert first.json() == second.json()
    assert len(app.client.get("/v1/plans").json()["plans"]) == 3


def test_two_plans_of_two_workshops_are_never_compared(guarded_app):
    app = guarded_app
    willow, alder = app.key("willow", "read", "plan"), app.key("alder", "read", "plan")
    mine = app.client.post("/v1/plans", json=three_cups(), headers=willow).json()["id"]
    theirs = app.client.post("/v1/plans", json=three_cups(), headers=alder).json()["id"]
    assert app.client.get(f"/v1/plans/{mine}/colourway-price?changed={theirs}", headers=willow).status_code == 404
    assert app.client.get(f"/v1/plans/{mine}/colourway-price?changed=x", headers=willow).status_code == 422
    asked = {"fewer": {"colourway": "ink"}}
    assert app.client.post(f"/v1/plans/{mine}/colourway-price", json=asked, headers=alder).status_code == 404
