"""HEAD answers as GET does, without the content (RFC 9110, 9.3.2)."""

import pytest

from api.http.head import HeadAsGet
from tests.api.plan_fixtures import publish_pots

OWN = {"date", "x-request-id"}


@pytest.mark.parametrize(
    "address",
    [
        "/v1/plans", "/v1/plans/{}", "/v1/plans/{}/lists/runs.csv", "/v1/plans/{}/pictures/floor.svg", "/v1/ready",
        "/", "/plans/{}", "/static/site.css", "/v1/plans/nobodys", "/nowhere",
    ],
)  # fmt: skip
def test_the_same_status_and_headers_and_nothing_behind(app, address):
    """As long as the same is not sent packed."""
    where = address.format(publish_pots(app.service))
    plain = {"Accept-Encoding": "identity"}
    head, got = app.client.head(where, headers=plain), app.client.get(where, headers=plain)
    assert head.content == b""
    assert got.content
    assert head.status_code == got.status_code
    kept = [{name: value for name, value in one.headers.items() if name not in OWN} for one in (head, got)]
    assert kept[0].items() <= {**kept[1], "vary": kept[0].get("vary")}.items() | {("vary", kept[0].get("vary"))}
    assert kept[0].keys() >= kept[1].keys() - {"vary"}


def test_a_stream_is_not_waited_for(app):
    """The events of a plan would go on for an hour."""
    plan_id = publish_pots(app.service)
    head = app.client.head(f"/v1/plans/{plan_id}/events")
    assert (head.status_code, head.content) == (200, b"")
    assert head.headers["content-type"].startswith("text/event-stream")


def test_what_only_takes_posts_still_does(app):
    """And it says so."""
    answer = app.client.head("/v1/webhooks/x/tests")
    assert answer.status_code in {404, 405}
    assert app.client.head("/v1/purge/colour-changes").status_code == 405


def test_a_head_is_counted_with_its_route(app):
    """Not as an address that nobody knows."""
    app.client.head("/v1/plans")
    counted = app.client.get("/v1/metrics").text
    assert 'http_requests_total{method="HEAD",route="/v1/plans",status="200"}' in counted


@pytest.mark.anyio
async def test_an_application_that_never_ends_is_left():
    """Its first line is the last that it writes."""
    sent = []

    async def endless(scope, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        while True:
            await send({"type": "http.response.body", "body": b"x", "more_body": True})

    async def send(message):
        sent.append(message)

    await HeadAsGet(endless)({"type": "http", "method": "HEAD"}, None, send)
    assert [one["type"] for one in sent] == ["http.response.start", "http.response.body"]
    assert sent[1]["body"] == b""
