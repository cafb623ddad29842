"""The application in this process, with no queue behind it: what is submitted is recorded and waits."""

import contextlib
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import uvicorn
from fastapi.testclient import TestClient

from api.app import make_app
from api.service import Service
from worker.queue.server import free_port
from worker.records import keys, workshops
from worker.settings import Settings


@dataclass
class Desk:
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
    """The application listening, in a thread of this process, its queue away; gives its address."""
    port = free_port()
    app = make_app(settings_for(folder, port=port))
    server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="warning"))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 60
    while not server.started and time.monotonic() < until:
        time.sleep(0.05)
    yield f"http://127.0.0.1:{port}", app.state.service
    server.should_exit = True
    thread.join(5)


def settings_for(folder: Path, **changes: object) -> Settings:
    # A port nobody listens on: the queue is away, which no answer may depend on.
    url = f"redis://127.0.0.1:{free_port()}/0"
    return Settings(data=folder, redis_url=url, **changes)  # type: ignore[arg-type]
