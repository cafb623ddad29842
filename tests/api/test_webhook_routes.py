"""/v1/webhooks over HTTP."""

import pytest
from sqlalchemy import select

from worker.records.tables import Webhook
from worker.webhooks import secrets


def test_added_listed_deleted(app):
    """The secret is shown once; another answer to the same request has it no more."""
    wish = {"url": "https://192.31.196.1/hook"}
    once = {"Idempotency-Key": "k"}
    made = app.client.post("/v1/webhooks", json=wish, headers=once)
    assert made.status_code == 201
    assert made.json()["secret"].startswith("whsec_")
    assert app.client.post("/v1/webhooks", json=wish, headers=once).json()["secret"] is None
    (listed,) = app.client.get("/v1/webhooks").json()["webhooks"]
    assert (listed["url"], listed["outcome"]) == (wish["url"], None)
    assert "secret" not in listed
    here = f"/v1/webhooks/{listed['id']}"
    assert [app.client.delete(here).status_code for _ in range(2)] == [204, 404]


@pytest.mark.parametrize(
    "url",
    [
        "http://a..b/",
        f"http://{'a' * 64}.example/",
        "http://.example/",
        "http://192.31.196.1:99999/",
        "http://[fec0::1]/",
    ],
)
def test_a_name_that_cannot_be_one_is_refused_with_its_field(app, url):
    """Looking it up failed on the way to the name's servers, as a fault of ours."""
    answer = app.client.post("/v1/webhooks", json={"url": url})
    assert (answer.status_code, answer.json()["errors"][0]["pointer"]) == (422, "/url")


def test_an_address_inside_is_refused_with_its_field(app):
    """So that nobody makes the service knock on doors inside."""
    answer = app.client.post("/v1/webhooks", json={"url": "http://169.254.169.254/latest"})
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["pointer"] == "/url"
    assert "not public" in error["message"]


def test_the_records_hold_nothing_that_signs(app) -> None:
    """The secret shown when it is added stood in the records as it is."""
    shown = app.client.post("/v1/webhooks", json={"url": "https://192.31.196.1/hook"}).json()
    with app.service.database.read() as connection:
        row = connection.execute(select(Webhook.id, Webhook.secret)).one()
    assert shown["secret"] not in row.secret
    assert secrets.secret_of(secrets.key_of(app.service.settings), row.id, row.secret) == shown["secret"]
