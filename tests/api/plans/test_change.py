"""Rename, stop, cancel, plan anew, delete, and the preconditions that guard them."""

import pytest

from tests.planner_double import SMALL_CAMPAIGN, campaign_named


@pytest.fixture
def plan(desk):
    return desk.client.post("/v1/plans", json=SMALL_CAMPAIGN).headers["location"]


def test_renaming_needs_the_edition_one_has_seen(desk, plan):
    """No If-Match: 428. An old one: 412 with the new ETag. The right one: done."""
    assert desk.client.patch(plan, json={"title": "b"}).status_code == 428
    tag = desk.client.get(plan).headers["etag"]
    assert desk.client.patch(plan, json={"title": "b"}, headers={"If-Match": tag}).json()["title"] == "b"
    stale = desk.client.patch(plan, json={"title": "c"}, headers={"If-Match": tag})
    assert stale.status_code == 412
    fresh = stale.headers["etag"]
    assert desk.client.patch(plan, json={"title": "c"}, headers={"If-Match": fresh}).json()["title"] == "c"


def test_any_edition_will_do_for_whoever_says_so(desk, plan):
    """`If-Match: *` (RFC 9110, 13.1.1) matches whatever there is, after any change."""
    for title in ("b", "c"):
        assert desk.client.patch(plan, json={"title": title}, headers={"If-Match": "*"}).json()["title"] == title
    assert desk.client.delete(plan, headers={"If-Match": "*"}).status_code == 204


def test_unchanged_since_is_304(desk, plan):
    """The same state is not sent twice."""
    tag = desk.client.get(plan).headers["etag"]
    assert desk.client.get(plan, headers={"If-None-Match": tag}).status_code == 304
    desk.client.post(f"{plan}/cancel")
    assert desk.client.get(plan, headers={"If-None-Match": tag}).status_code == 200


def test_cancel_stop_and_their_conflicts(desk, plan):
    """Cancelling twice is cancelling once; stopping what was cancelled is a conflict."""
    assert desk.client.post(f"{plan}/cancel").json()["status"] == "cancelled"
    assert desk.client.post(f"{plan}/cancel").status_code == 202
    assert desk.client.post(f"{plan}/stop").status_code == 409


def test_planning_anew(desk, plan):
    """Only once the last revision is over, and only by whoever saw it."""
    changed = campaign_named("changed")
    tag = {"If-Match": desk.client.get(plan).headers["etag"]}
    assert desk.client.post(f"{plan}/revisions", json=changed, headers=tag).status_code == 409
    desk.client.post(f"{plan}/cancel")
    assert desk.client.post(f"{plan}/revisions", json=changed, headers=tag).status_code == 412
    tag = {"If-Match": desk.client.get(plan).headers["etag"]}
    assert desk.client.post(f"{plan}/revisions", json=changed, headers=tag).json()["status"] == "queued"
    assert desk.client.get(f"{plan}/campaign").json()["name"] == "changed"
    assert desk.client.get(f"{plan}/revisions").json() == {"revisions": []}
    assert desk.client.get(f"{plan}/revisions/1").status_code == 404


def test_deleted_is_gone(desk, plan):
    """With everything that belonged to it."""
    assert desk.client.delete(plan, headers={"If-Match": '"99-1"'}).status_code == 412
    assert desk.client.delete(plan).status_code == 204
    for path in (plan, f"{plan}/events", f"{plan}/campaign", f"{plan}/revisions"):
        assert desk.client.get(path).status_code == 404
    assert desk.client.delete(plan).status_code == 404


def test_pages_by_cursor_and_filter(desk):
    """Every plan once, in pages; a cursor that is none of ours is a clear 400."""
    made = [desk.client.post("/v1/plans", json=campaign_named(f"c{n}")).json()["id"] for n in range(7)]
    desk.client.post(f"/v1/plans/{made[3]}/cancel")
    seen, page = [], "/v1/plans?limit=3"
    while page:
        answer = desk.client.get(page).json()
        seen += [plan["id"] for plan in answer["plans"]]
        page = answer["next"]
    assert seen == list(reversed(made))
    cancelled = desk.client.get("/v1/plans?status=cancelled").json()["plans"]
    assert [plan["id"] for plan in cancelled] == [made[3]]
    titled = desk.client.get("/v1/plans?title=c5").json()["plans"]
    assert [plan["id"] for plan in titled] == [made[5]]
    assert desk.client.get("/v1/plans?cursor=nonsense").status_code == 400
    filtered = desk.client.get("/v1/plans?status=queued&limit=2").json()["next"]
    assert "status=queued" in filtered, "the next page keeps the filter"


def test_csv_before_there_is_a_plan_is_a_conflict(desk, plan):
    """And a form we do not have is 406 with what there is."""
    assert desk.client.get(plan, headers={"Accept": "text/csv"}).status_code == 409
    refused = desk.client.get(plan, headers={"Accept": "image/png"})
    assert refused.status_code == 406
    assert "text/csv" in refused.json()["detail"]
