"""Rename, stop, cancel, plan anew, delete, and the preconditions that guard them."""

import pytest

from tests.planner_double import SMALL_CAMPAIGN, campaign_named


@pytest.fixture
def plan(app):
    return app.client.post("/v1/plans", json=SMALL_CAMPAIGN).headers["location"]


def test_renaming_needs_the_edition_one_has_seen(app, plan):
    """No If-Match: 428. An old one: 412 with the new ETag. The right one: done."""
    assert app.client.patch(plan, json={"title": "b"}).status_code == 428
    tag = app.client.get(plan).headers["etag"]
    assert app.client.patch(plan, json={"title": "b"}, headers={"If-Match": tag}).json()["title"] == "b"
    stale = app.client.patch(plan, json={"title": "c"}, headers={"If-Match": tag})
    assert stale.status_code == 412
    fresh = stale.headers["etag"]
    assert app.client.patch(plan, json={"title": "c"}, headers={"If-Match": fresh}).json()["title"] == "c"


def test_any_edition_will_do_for_whoever_says_so(app, plan):
    """`If-Match: *` (RFC 9110, 13.1.1) matches whatever there is, after any change."""
    for title in ("b", "c"):
        assert app.client.patch(plan, json={"title": title}, headers={"If-Match": "*"}).json()["title"] == title
    assert app.client.delete(plan, headers={"If-Match": "*"}).status_code == 204


def test_unchanged_since_is_304(app, plan):
    """The same state is not sent twice."""
    tag = app.client.get(plan).headers["etag"]
    assert app.client.get(plan, headers={"If-None-Match": tag}).status_code == 304
    app.client.post(f"{plan}/cancel")
    assert app.client.get(plan, headers={"If-None-Match": tag}).status_code == 200


def test_cancel_stop_and_their_conflicts(app, plan):
    """Cancelling twice is cancelling once; stopping what was cancelled is a conflict."""
    assert app.client.post(f"{plan}/cancel").json()["status"] == "cancelled"
    assert app.client.post(f"{plan}/cancel").status_code == 202
    assert app.client.post(f"{plan}/stop").status_code == 409


def test_planning_anew(app, plan):
    """Only once the last revision is over, and only by whoever saw it."""
    changed = campaign_named("changed")
    tag = {"If-Match": app.client.get(plan).headers["etag"]}
    assert app.client.post(f"{plan}/revisions", json=changed, headers=tag).status_code == 409
    app.client.post(f"{plan}/cancel")
    assert app.client.post(f"{plan}/revisions", json=changed, headers=tag).status_code == 412
    tag = {"If-Match": app.client.get(plan).headers["etag"]}
    assert app.client.post(f"{plan}/revisions", json=changed, headers=tag).json()["status"] == "queued"
    assert app.client.get(f"{plan}/campaign").json()["name"] == "changed"
    assert app.client.get(f"{plan}/revisions").json() == {"revisions": []}
    assert app.client.get(f"{plan}/revisions/1").status_code == 404


def test_deleted_is_gone(app, plan):
    """With everything that belonged to it."""
    assert app.client.delete(plan, headers={"If-Match": '"99-1"'}).status_code == 412
    assert app.client.delete(plan).status_code == 204
    for path in (plan, f"{plan}/events", f"{plan}/campaign", f"{plan}/revisions"):
        assert app.client.get(path).status_code == 404
    assert app.client.delete(plan).status_code == 404


def test_pages_by_cursor_and_filter(app):
    """Every plan once, in pages; a cursor that is none of ours is a clear 400."""
    made = [app.client.post("/v1/plans", json=campaign_named(f"c{n}")).json()["id"] for n in range(7)]
    app.client.post(f"/v1/plans/{made[3]}/cancel")
    seen, page = [], "/v1/plans?limit=3"
    while page:
        answer = app.client.get(page).json()
        seen += [plan["id"] for plan in answer["plans"]]
        page = answer["next"]
    assert seen == list(reversed(made))
    cancelled = app.client.get("/v1/plans?status=cancelled").json()["plans"]
    assert [plan["id"] for plan in cancelled] == [made[3]]
    titled = app.client.get("/v1/plans?title=c5").json()["plans"]
    assert [plan["id"] for plan in titled] == [made[5]]
    assert app.client.get("/v1/plans?cursor=nonsense").status_code == 400
    filtered = app.client.get("/v1/plans?status=queued&limit=2").json()["next"]
    assert "status=queued" in filtered, "the next page keeps the filter"


def test_csv_before_there_is_a_plan_is_a_conflict(app, plan):
    """And a form we do not have is 406 with what there is."""
    assert app.client.get(plan, headers={"Accept": "text/csv"}).status_code == 409
    refused = app.client.get(plan, headers={"Accept": "image/png"})
    assert refused.status_code == 406
    assert "text/csv" in refused.json()["detail"]
