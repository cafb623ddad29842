"""The application in this process, with and without a key asked for."""

import shutil
import time
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from api.app import make_app
from api.pages import change, form
from tests.api.app_client import AppClient, settings_for
from tests.api.inline_worker import InlineWorker
from worker.records import keys, workshops
from worker.records.database import Database


@pytest.fixture(autouse=True)
def before_the_examples(monkeypatch: pytest.MonkeyPatch) -> None:
    """The form asks about days that are over: for it, it is a week before the campaigns of these tests begin."""
    for module in (form, change):
        monkeypatch.setattr(module, "today", lambda: date(2027, 1, 4))


@pytest.fixture
def app(tmp_path: Path, empty_records: Path) -> Iterator[AppClient]:
    """On loopback: no key needed."""
    shutil.copyfile(empty_records, tmp_path / "records.sqlite")
    application = make_app(settings_for(tmp_path))
    with TestClient(application, base_url="http://127.0.0.1:8000", raise_server_exceptions=False) as client:
        yield AppClient(client, application.state.service)


@pytest.fixture
def inline_worker(app: AppClient) -> Iterator[InlineWorker]:
    """A worker for the app's studies, in this process."""
    working = InlineWorker(app.service)
    working.start()
    yield working
    working.rest()


@pytest.fixture
def guarded_app(tmp_path: Path, empty_records: Path) -> Iterator[AppClient]:
    """On an address others can reach: every request needs a key."""
    settings = settings_for(tmp_path, host="0.0.0.0")
    shutil.copyfile(empty_records, tmp_path / "records.sqlite")
    database = Database(settings.database)
    workshop_id = workshops.ensure(database, "first", time.time())
    with database.write() as connection:
        keys.make(connection, workshop_id, "first", keys.SCOPES, time.time())
    database.close()
    application = make_app(settings)
    with TestClient(application, base_url="http://planner.example", raise_server_exceptions=False) as client:
        yield AppClient(client, application.state.service)
