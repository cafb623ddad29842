"""Files of a plan over HTTP: workbook, calendar, lists; read back by other programs."""

import csv
import io
from datetime import UTC, datetime

import openpyxl
import pytest
from ical.calendar_stream import IcsCalendarStream

from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan import RunPlan
from planner.planning.make import make_plan
from tests.api.app_client import AppClient
from tests.api.plan_fixtures import publish, waiting
from tests.support.carton_campaign import campaign
from tests.support.pot_campaign import pot_campaign


@pytest.fixture(scope="module")
def made() -> tuple[Campaign, RunPlan]:
    """The bowls in their cartons, planned."""
    bowls = campaign()
    return bowls, make_plan(bowls, Unhurried())


def test_workbook_has_dates_and_numbers(app: AppClient, made: tuple[Campaign, RunPlan]) -> None:
    """Read back by openpyxl: every list a sheet, headings frozen, moments and masses as such."""
    plan_id = publish(app.service, *made)
    answer = app.client.get(f"/v1/plans/{plan_id}/workbook.xlsx")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"].endswith(f'plan-{plan_id}-1.xlsx"')
    book = openpyxl.load_workbook(io.BytesIO(answer.content))
    assert {"Runs", "Pack-out", "Manifest", "Customs", "Inspection", "Material"} <= set(book.sheetnames)
    assert all(sheet.freeze_panes == "A2" for sheet in book)
    assert list(book["Pack-out"].values)[-1][0] == "Total"
    headings, *rows = list(book["Pack-out"].values)[:-1]
    packed = [dict(zip(headings, row, strict=True)) for row in rows]
    assert [row["Start"] for row in packed] == [batch.start.replace(tzinfo=None) for batch in made[1].batches]
    assert [row["Gross kg"] for row in packed] == [pytest.approx(b.box.gross_kg) for b in made[1].batches if b.box]
    headings, *rows = (row for row in book["Inspection"].values if row[0] != "Total")
    assert len(rows) == len(made[1].inspections) > 0
    for row in (dict(zip(headings, row, strict=True)) for row in rows):
        assert isinstance(row["Draw"], int)
        assert row["Reject from"] == row["Accept up to"] + 1
    headings, *rows = (row for row in book["Customs"].values if row[0] != "Total")
    assert rows
    assert {row[0]: row[3] for row in rows} == {one.country: one.value for one in made[1].customs}


def test_calendar_is_read_by_another_program(app: AppClient, made: tuple[Campaign, RunPlan]) -> None:
    """Pick-ups at the plan's instants."""
    plan_id = publish(app.service, *made)
    answer = app.client.get(f"/v1/plans/{plan_id}/calendar.ics?what=all")
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    events = {e.uid.split("@")[0]: e for e in IcsCalendarStream.calendar_from_ics(answer.text).events}
    for dispatch in made[1].dispatches:
        start = events[dispatch.id].dtstart
        assert isinstance(start, datetime)
        assert start.astimezone(UTC) == dispatch.at.astimezone(UTC)


def test_every_list_can_be_fetched(app: AppClient, made: tuple[Campaign, RunPlan]) -> None:
    """Each address the index gives answers with the headings it gives; the delimiter may be chosen."""
    plan_id = publish(app.service, *made)
    index = app.client.get(f"/v1/plans/{plan_id}/lists").json()
    assert index["revision"] == 1
    for one in index["lists"]:
        answer = app.client.get(one["csv"])
        assert answer.status_code == 200, one
        assert answer.content.startswith(b"\xef\xbb\xbf")
        assert next(csv.reader(io.StringIO(answer.text.removeprefix("\ufeff"), newline=""))) == one["headings"]
    cut = app.client.get(f"/v1/plans/{plan_id}/lists/runs.csv", params={"delimiter": ";"}).text
    assert len(next(csv.reader(io.StringIO(cut), delimiter=";"))) > 5
    assert app.client.get(index["workbook"]).status_code == app.client.get(index["calendar"]).status_code == 200


def test_what_is_not_there_is_said(app: AppClient, made: tuple[Campaign, RunPlan]) -> None:
    """No such list, revision or plan; a plan without a run plan; a delimiter that is none."""
    plan_id = publish(app.service, *made)
    nothing = app.client.get(f"/v1/plans/{plan_id}/lists/names.csv")
    assert nothing.status_code == 404
    assert "pack-out" in nothing.json()["detail"]
    assert app.client.get(f"/v1/plans/{plan_id}/workbook.xlsx?revision=7").status_code == 404
    assert app.client.get("/v1/plans/0123456789abcdefghjkmnpqrs/calendar.ics").status_code == 404
    assert app.client.get(f"/v1/plans/{plan_id}/lists/runs.csv?delimiter=x").status_code == 422
    queued = waiting(app.service, pot_campaign().model_dump_json(by_alias=True))
    assert app.client.get(f"/v1/plans/{queued}/lists").status_code == 409


def test_files_need_a_key(guarded_app: AppClient) -> None:
    """Behind the same door as the plan."""
    for path in ("workbook.xlsx", "calendar.ics", "lists", "lists/runs.csv"):
        assert guarded_app.client.get(f"/v1/plans/0123456789abcdefghjkmnpqrs/{path}").status_code == 401
