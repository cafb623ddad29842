"""The application in this process, with no queue behind it: what is submitted is recorded and waits."""

import contextlib
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from fastapi import FastAPI
from fastapi.testclient import TestClient

from api.app import make_app
from api.service import Service
from api.serving.slow_connections import Patient
from worker.queue.server import free_port
from worker.records import keys, workshops
from worker.settings import Settings


@dataclass
class AppClient:
    """One application and what a test may do to it."""

    client: TestClient
    service: Service

    def key(self, workshop: str, *scopes: str) -> dict[str, str]:
        """Headers with a fresh key of that workshop."""
        workshop_id = workshops.ensure(self.service.database, workshop, time.time())
        with self.service.database.write() as connection:
            _, text = keys.make(connection, workshop_id, "test", scopes, time.time())
        return {"Authorization": f"Bearer {text}"}


@contextlib.contextmanager
def served(folder: Path) -> Iterator[tuple[str, Service]]:
    """The application listening, its queue away; gives its address."""
    settings = settings_for(folder, port=free_port())
    with listening(settings) as app:
        yield f"http://127.0.0.1:{settings.port}", app.state.service


@contextlib.contextmanager
def listening(settings: Settings) -> Iterator[FastAPI]:
    """The application on loopback, in a thread of this process that has ended afterwards, and its sender with it."""
    before = set(threading.enumerate())
    app = make_app(settings)
    config = uvicorn.Config(app, port=settings.port, log_level="warning", timeout_graceful_shutdown=3, http=Patient)
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, name="listening", daemon=True)
    thread.start()
    try:
        until = time.monotonic() + 60
        while not server.started and thread.is_alive() and time.monotonic() < until:
            time.sleep(0.02)
        assert server.started
        yield app
    finally:
        server.should_exit = True
        thread.join(20)
    still = {thread.name for thread in set(threading.enumerate()) - before}
    assert not still & {"listening", "sender"}, still


def settings_for(folder: Path, **changes: object) -> Settings:
    # A port nobody listens on: the queue is away, which no answer may depend on.
    url = f"redis://127.0.0.1:{free_port()}/0"
    return Settings(data=folder, redis_url=url, **changes)  # type: ignore[arg-type]
