"""A fault can be traced and alerted on, wherever it happened; what no request can mean is the request's fault."""

import asyncio
import json
import logging
from unittest.mock import AsyncMock

import pytest
from fastapi.testclient import TestClient
from sqlalchemy.exc import OperationalError

from api.app import make_app
from api.http import compressed
from api.http.requests import RequestIds
from api.monitoring import health as monitoring
from api.pages import plan as plan_page
from api.service import tried
from api.services import health
from planner.campaign import Campaign
from tests.api.app_client import settings_for
from tests.api.plan_fixtures import publish, publish_pots
from tests.planner_double import SMALL_CAMPAIGN
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan
from worker.logs import JsonLines
from worker.records.database import Database
from worker.records.sqlite_write_lock import SqliteWriteLock


def fails(*_: object, **__: object) -> None:
    raise RuntimeError("nobody thought of this")


@pytest.mark.parametrize("where", ["route", "middleware"])
def test_a_fault_has_its_id_in_body_header_log_and_is_counted(app, monkeypatch, caplog, where) -> None:
    """A fault outside the routes had no id in its answer, none of the safe headers, and status 0 in log and metrics."""
    if where == "route":
        monkeypatch.setattr(health.health, "counts", fails)
        monkeypatch.setattr(monitoring, "Ready", fails)
        path = "/v1/ready"
    else:
        monkeypatch.setattr(compressed, "takes_gzip", fails)
        path = "/v1/live"
    with caplog.at_level(logging.DEBUG):
        answer = app.client.get(path, headers={"X-Request-Id": "the-request-in-question"})
    assert (answer.status_code, answer.headers["content-type"]) == (500, "application/problem+json")
    assert answer.json()["instance"] == "/requests/the-request-in-question"
    assert answer.headers["x-request-id"] == "the-request-in-question"
    assert answer.headers["x-content-type-options"] == "nosniff"
    lines = [json.loads(JsonLines().format(record)) for record in caplog.records]
    (fault,) = [line for line in lines if line["message"] == "fault"]
    assert (fault["request"], fault["level"]) == ("the-request-in-question", "error")
    assert "nobody thought of this" in fault["trace"]
    (told,) = [line for line in lines if line["message"] == "request"]
    assert (told["request"], told["status"]) == ("the-request-in-question", 500)
    monkeypatch.undo()
    assert 'status="500"} 1.0' in app.client.get("/v1/metrics").text


@pytest.mark.parametrize("language", ["en", "de"])
def test_a_fault_of_a_page_is_a_page(app, monkeypatch, caplog, language) -> None:
    """Whoever opened it in a browser was shown a problem document. Logged with the id that the page names."""
    monkeypatch.setattr(plan_page.plans, "revisions", fails)
    asked = {"X-Request-Id": "the-request-in-question", "Accept-Language": language}
    plan = publish_pots(app.service)
    answer = app.client.get(f"/plans/{plan}", headers=asked)
    assert (answer.status_code, answer.headers["content-type"]) == (500, "text/html; charset=utf-8")
    assert {"en": "A fault of ours", "de": "Ein Fehler von uns"}[language] in answer.text
    assert {"en": "The service failed;", "de": "Der Dienst ist gescheitert;"}[language] in answer.text
    assert "the-request-in-question" in answer.text
    (fault,) = [one for one in caplog.records if one.message == "fault"]
    assert fault.request == "the-request-in-question"


def test_records_that_are_away_are_said_on_a_page_too(app, monkeypatch) -> None:
    """With when to come back; a browser was shown a problem document."""

    def away(*_: object, **__: object) -> None:
        raise OperationalError("SELECT", None, Exception("database is locked"))

    plan = publish_pots(app.service)
    monkeypatch.setattr(plan_page.plans, "revisions", away)
    answer = app.client.get(f"/plans/{plan}")
    assert (answer.status_code, answer.headers["content-type"]) == (503, "text/html; charset=utf-8")
    assert "The records cannot be reached; nothing was changed." in answer.text
    assert answer.headers["retry-after"] == "2"


def test_an_answer_that_breaks_off_is_counted_as_a_fault(app, caplog) -> None:
    """Its beginning said 200, and nobody can take that back; log and metrics say that it was none."""

    async def breaks_off(scope, receive, send) -> None:
        await send({"type": "http.response.start", "status": 200, "headers": []})
        raise RuntimeError("nobody thought of this")

    async def ask() -> None:
        scope = {"type": "http", "method": "GET", "path": "/", "headers": [], "app": app.client.app}
        await RequestIds(breaks_off)(scope, fails, AsyncMock())

    with caplog.at_level(logging.INFO), pytest.raises(RuntimeError):
        asyncio.run(ask())
    assert [one.status for one in caplog.records if one.message == "request"] == [500]
    assert 'status="500"} 1.0' in app.client.get("/v1/metrics").text


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("Host", "["), ("Host", "[::1"), ("Host", "a b"), ("Host", "127.0.0.1:99999999"), ("Host", "user@127.0.0.1"),
        ("Host", "127.0.0.1/x"), ("Host", ""), ("Origin", "http://["), ("Origin", "http://a]b"), ("Origin", "//"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("path", ["/v1/plans", "/", "/v1/live"])
def test_a_host_that_is_none_is_refused(app, path, name, value) -> None:
    """Addresses are made of it, and taking it apart failed."""
    answer = app.client.get(path, headers={name: value})
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["pointer"] == name
    assert answer.headers["x-request-id"]


def test_usual_hosts_and_origins_are_taken(app) -> None:
    for host in ("127.0.0.1:8000", "localhost", "[::1]:8000"):
        same = {"Host": host, "Origin": f"http://{host}"}
        assert app.client.get("/v1/plans", headers=same).status_code == 200, host
    assert app.client.get("/v1/plans", headers={"Origin": "null"}).status_code == 403


def test_a_name_with_a_line_break_is_written_into_every_file(app) -> None:
    """Names are the maker's: what a calendar cannot hold in one line is folded, not a fault."""
    campaign, plan = pot_campaign(), pot_plan()
    name = "Pots\nfor\r\neverybody"
    plan_id = publish(
        app.service,
        Campaign.model_validate(campaign.model_dump(by_alias=True, mode="json") | {"name": name}),
        plan.model_copy(update={"name": name}),
    )
    for path in ("calendar.ics", "workbook.xlsx", "lists/runs.csv", "paper.pdf"):
        assert app.client.get(f"/v1/plans/{plan_id}/{path}").status_code == 200, path
    assert app.client.get(f"/plans/{plan_id}").status_code == 200


@pytest.mark.parametrize("field", ["shot_g", "purge_cycle_s"])
def test_a_time_or_weight_next_to_nothing_is_refused_or_worked_with(app, field) -> None:
    """1e-320 is above zero, and what is divided by it is without end."""
    question = {
        "barrel": {"holdup_kg": 0.85}, "shot_g": 124, "purge_cycle_s": 20,
        "colours": {"sage": {"hex": "#8fa58a"}, "ink": {"hex": "#232a3f"}},
    }  # fmt: skip
    answer = app.client.post("/v1/purge/matrix", json=question | {field: 1e-320})
    assert answer.status_code in {200, 422}
    assert answer.status_code == 200 or answer.json()["errors"][0]["message"]


def test_a_press_that_hardly_works_is_refused_with_its_field(app) -> None:
    """An efficiency of 1e-320 made its shots endless, and the sum of their seconds failed."""
    document = pot_campaign().model_dump(mode="json", by_alias=True, exclude_none=True)
    document["presses"]["one"]["efficiency"] = 1e-320
    answer = app.client.post("/v1/plans", json=document)
    assert answer.status_code == 422
    assert "/presses/one/efficiency" in {error["pointer"] for error in answer.json()["errors"]}


def test_a_request_cut_short_is_no_fault(tmp_path, caplog) -> None:
    """A client that goes away in the middle of its body is told nothing and alarms nobody."""
    app = make_app(settings_for(tmp_path))

    async def gone() -> dict[str, object]:
        return {"type": "http.disconnect"}

    async def nobody(_message: object) -> None:
        pass

    async def ask() -> None:
        scope = {
            "type": "http", "http_version": "1.1", "method": "POST", "path": "/v1/plans", "raw_path": b"/v1/plans",
            "query_string": b"", "scheme": "http", "server": ("127.0.0.1", 8000), "client": ("127.0.0.1", 1),
            "headers": [(b"host", b"127.0.0.1:8000"), (b"content-type", b"application/json")], "root_path": "",
        }  # fmt: skip
        await app(scope, gone, nobody)

    with TestClient(app) as client, caplog.at_level(logging.INFO):
        assert client.portal is not None
        client.portal.call(ask)
    assert not [record for record in caplog.records if record.levelno >= logging.ERROR]


def test_where_nothing_can_be_written_reads_go_on_writers_come_again_and_nothing_is_ready(app, monkeypatch) -> None:
    """Somebody else holds the records; writers waited for ever, and readiness said that all was well."""
    original = SqliteWriteLock.held
    monkeypatch.setattr(SqliteWriteLock, "held", lambda self, patience=0.0: original(self, min(patience, 0.05)))
    monkeypatch.setattr(tried, "HOLDS", 0.0)
    # All else is there: a queue, and a worker.
    monkeypatch.setattr(health, "depths", lambda queue: {})
    counted = health.health.Counts(workers=1, waiting=0, running=0)
    monkeypatch.setattr(health.health, "counts", lambda *_: counted)
    elsewhere = Database(app.service.settings.database)
    with elsewhere.write():
        refused = app.client.post("/v1/plans", json=SMALL_CAMPAIGN)
        assert (refused.status_code, refused.headers["retry-after"]) == (503, "2")
        assert app.client.get("/v1/plans").json()["plans"] == []
        told = app.client.get("/v1/ready").json()
        assert (told["records"], told["writes"], told["ready"]) == (True, False, False)
    elsewhere.close()
    assert app.client.post("/v1/plans", json=SMALL_CAMPAIGN).status_code == 202
    told = app.client.get("/v1/ready").json()
    assert (told["writes"], told["ready"]) == (True, True)
