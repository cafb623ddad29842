"""What earlier versions wrote is read, migrated and planned again by this one: a folder for each of them here."""

import json
import sqlite3
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from api.app import make_app
from planner.audit import audit
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.plan.order_of_work import order_of
from planner.planning.make import make_plan
from planner.reading import read
from tests.api.app_client import settings_for
from tests.kept.keep import HERE
from worker.records.migrate import newest
from worker.solving.job import Hands
from worker.solving.plan import work_on_plan

FOLDERS = sorted(path.parent for path in HERE.glob("*/campaign.json"))


def taken_for_granted(campaign: Campaign) -> Campaign:
    """Hot runners of which only the resins were said that they had held were taken for empty. They are purged now."""
    tools = {
        name: tool.model_copy(update={"hot_runner_clean": True}) if tool.hot_runner_has_held else tool
        for name, tool in campaign.tools.items()
    }
    return campaign.model_copy(update={"tools": tools})


def test_there_is_something_to_read() -> None:
    assert FOLDERS


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_a_campaign_and_its_plan_are_read_and_still_sound(folder: Path) -> None:
    """The document means what it meant: the plan made from it holds against this version's auditor, once it says what
    versions before took for granted."""
    campaign = taken_for_granted(read(json.loads((folder / "campaign.json").read_text(encoding="utf-8"))))
    plan = RunPlan.model_validate_json((folder / "plan.json").read_text(encoding="utf-8"))
    verdict = audit(campaign, plan)
    assert verdict.holds, [rule for rule in verdict.rules if not rule.holds]
    assert {work.tool for press in order_of(plan).presses.values() for work in press} == {run.tool for run in plan.runs}


@pytest.mark.parametrize("folder", FOLDERS, ids=lambda folder: folder.name)
def test_records_are_migrated_read_and_planned_again(folder: Path, tmp_path: Path) -> None:
    """A service begins on them: every plan and page is there, what waited is planned, what was done is planned anew."""
    database = sqlite3.connect(tmp_path / "records.sqlite")
    database.executescript((folder / "records.sql").read_text(encoding="utf-8"))
    database.close()
    app = make_app(settings_for(tmp_path))
    service = app.state.service
    with TestClient(app, base_url="http://127.0.0.1:8000") as client:
        plans = {one["title"]: one for one in client.get("/v1/plans").json()["plans"]}
        assert {one["status"] for one in plans.values()} == {"done", "queued"}
        for one in plans.values():
            assert client.get(f"/plans/{one['id']}").status_code == 200
        used = next(one for one in plans.values() if client.get(f"/v1/plans/{one['id']}/actuals").json()["entries"])
        for leaf in ("runs", "parcels", "buying", "press", "paper"):
            assert client.get(f"/plans/{used['id']}/{leaf}").status_code == 200
        for leaf in ("paper.pdf", "workbook.xlsx", "calendar.ics", "labels.csv", "campaign"):
            assert client.get(f"/v1/plans/{used['id']}/{leaf}").status_code == 200
        assert client.get("/v1/webhooks").json()["webhooks"]
        campaign = client.get(f"/v1/plans/{used['id']}/campaign")
        edition = client.get(f"/v1/plans/{used['id']}").headers["etag"]
        again = client.post(
            f"/v1/plans/{used['id']}/revisions", content=campaign.content,
            headers={"If-Match": edition, "Content-Type": "application/json"},
        )  # fmt: skip
        assert again.status_code == 202, again.text
        for one in (used, plans["waits"]):
            work_on_plan(Hands(service.database, service.settings, "w"), one["id"], make_plan)
            told = client.get(f"/v1/plans/{one['id']}").json()
            assert (told["status"], told["plan"]["audit"]["holds"]) == ("done", True)
        with service.database.read() as connection:
            assert connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar() == newest()
