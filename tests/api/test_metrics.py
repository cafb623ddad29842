"""What Prometheus scrapes, read back by its own parser."""

import time

from prometheus_client.parser import text_string_to_metric_families

from tests.planner_double import SMALL_CAMPAIGN, campaign_named
from worker.queue import keeping
from worker.records import claiming, plan_claims
from worker.records.claiming import Claimant
from worker.records.plan_claims import PLANS, Published
from worker.records.retention import DAY, Ages


def scrape(app):
    text = app.client.get("/v1/metrics").text
    return {
        (sample.name, *sample.labels.values()): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_counts_rise_with_what_they_count(app):
    """Waiting, made, cancelled; and a deleted plan still counts as made."""
    first = app.client.post("/v1/plans", json=SMALL_CAMPAIGN).json()["id"]
    second = app.client.post("/v1/plans", json=campaign_named("other")).json()["id"]
    assert scrape(app)["plans_waiting", "small"] == 2
    with app.service.database.write() as connection:
        mine = claiming.claim(connection, PLANS, first, Claimant("w", 60, 3), time.time())
        assert plan_claims.publish(connection, mine, Published("{}", 10, 9, 0.1, "proven", 7.0), time.time())
    app.client.post(f"/v1/plans/{second}/cancel")
    app.client.delete(f"/v1/plans/{first}")
    seen = scrape(app)
    assert seen["plans_waiting", "small"] == 0
    assert seen["plans_ended_total", "proven"] == 1
    assert seen["plans_ended_total", "cancelled"] == 1
    assert seen["plan_solve_seconds_sum",] == 7.0
    assert seen["plan_solve_seconds_bucket", "5"] == 0
    assert seen["plan_solve_seconds_bucket", "15"] == seen["plan_solve_seconds_bucket", "+Inf"] == 1
    assert seen["plan_gap_bucket", "0.1"] == 1
    assert seen["http_requests_total", "POST", "/v1/plans", "202"] == 2


def test_what_goes_in_time_is_told_of_as_it_was_counted(app):
    app.client.post("/v1/plans", json=SMALL_CAMPAIGN, headers={"Idempotency-Key": "a"})
    now = time.time() + 100.0
    keeping.keep(app.service.database, Ages(), now)
    seen = scrape(app)
    assert seen["kept_rows", "events"] == seen["kept_rows", "answers"] == 1
    assert seen["kept_bytes", "answers"] > 100
    assert 100 <= seen["kept_oldest_age_seconds", "events"] < 200
    assert seen["kept_removed_total", "answers"] == 0
    keeping.keep(app.service.database, Ages(), now + 2 * DAY)
    assert (scrape(app)["kept_rows", "answers"], scrape(app)["kept_removed_total", "answers"]) == (0, 1)


def test_off_loopback_metrics_ask_for_their_token(guarded_app):
    """No token set: nobody reads them, whatever key they have."""
    assert guarded_app.client.get("/v1/metrics").status_code == 401
    admin = guarded_app.key("willow", "read", "plan", "admin")
    assert guarded_app.client.get("/v1/metrics", headers=admin).status_code == 401
