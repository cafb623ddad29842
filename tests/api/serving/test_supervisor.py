"""The supervisor waits for its service as long as that is being built, and no longer."""

import io
import json
import time
import urllib.error
import urllib.request
from email.message import Message
from pathlib import Path

import pytest

from api.serving import supervisor
from api.serving.supervisor import Supervisor
from worker.compiling import mark_in
from worker.queue.server import NoServer, free_port
from worker.settings import Settings


@pytest.fixture
def waiting(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Supervisor:
    """Nobody ever answers, and a start may take ten seconds; a second passes with each look at the clock."""
    clock = iter(range(10_000))

    def nobody(*_: object, **__: object) -> None:
        raise OSError

    monkeypatch.setattr(supervisor, "LONGEST_START", 10.0)
    monkeypatch.setattr(time, "monotonic", lambda: float(next(clock)))
    monkeypatch.setattr(time, "sleep", lambda seconds: None)
    monkeypatch.setattr(urllib.request, "urlopen", nobody)
    return Supervisor(Settings(data=tmp_path))


def test_a_start_that_hangs_is_given_up(waiting: Supervisor) -> None:
    with pytest.raises(TimeoutError, match="did not get ready"):
        waiting._wait_until_ready()


def test_compiling_does_not_count(waiting: Supervisor, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a busy machine the first start took seven minutes and was given up just before it was done."""
    looked = []

    def done_later(_seconds: float) -> None:
        looked.append(1)
        if len(looked) == 100:
            mark_in(waiting.settings.data).unlink()

    monkeypatch.setattr(time, "sleep", done_later)
    mark_in(waiting.settings.data).touch()
    with pytest.raises(TimeoutError):
        waiting._wait_until_ready()
    assert len(looked) > 100


def test_what_is_to_be_planned_is_sent_as_soon_as_it_is_kept(
    waiting: Supervisor, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Once, while the planner is still being compiled: the first page shows it, and offers it no second time."""
    told = iter(
        [
            None,
            {"ready": False, "writes": False},
            *[{"ready": False, "writes": True}] * 3,
            {"ready": True, "writes": True},
        ]
    )
    sent: list[int] = []

    def answers(address: str, **_: object) -> io.BytesIO:
        looked.append(address)
        if (said := next(told)) is None:
            raise OSError
        body = io.BytesIO(json.dumps(said).encode())
        if not said["ready"]:
            raise urllib.error.HTTPError(address, 503, "", Message(), body)
        return body

    looked: list[str] = []
    monkeypatch.setattr(supervisor, "LONGEST_START", 1000.0)
    monkeypatch.setattr(urllib.request, "urlopen", answers)
    waiting.answering = lambda url: sent.append(len(looked))
    waiting._wait_until_ready()
    assert (sent, len(looked)) == ([3], 6)


def test_a_queue_elsewhere_that_is_not_there_is_said_at_once(tmp_path: Path) -> None:
    """With where it was looked for, and without its password; nothing is started. The service waited for minutes."""
    port = free_port()
    elsewhere = Settings(data=tmp_path, port=0, redis_url=f"redis://:secret@127.0.0.1:{port}/0")
    with pytest.raises(NoServer, match=f"127.0.0.1:{port} does not answer") as refused, Supervisor(elsewhere):
        raise AssertionError("it began")
    assert "secret" not in str(refused.value)
    assert not (tmp_path / "logs").exists()
