"""A worker's arguments: which queues it takes from, and none that nobody fills."""

import pytest

from worker import start
from worker.queue.broker import QUEUES
from worker.records.database import Database
from worker.start import options


@pytest.mark.parametrize("queues", [",".join(QUEUES), *QUEUES])
def test_known_queues_are_taken_as_written(queues):
    assert options().parse_args(["--queues", queues]).queues == [queues]
    assert options().parse_args(["--queues", queues, "--queues", "small"]).queues == [queues, "small"]


def test_without_arguments_its_name_is_what_it_is():
    given = options().parse_args([])
    assert (given.queues, given.name) == (None, "worker")


@pytest.mark.parametrize("queues", ["huge", f"{QUEUES[0]},huge", f"{QUEUES[0]}, huge", ""])
def test_a_queue_nobody_fills_stops_the_start(queues, capsys):
    """A worker that waits for ever would look well; it is told which queues there are."""
    with pytest.raises(SystemExit):
        options().parse_args(["--queues", queues])
    said = capsys.readouterr().err
    assert "no such queue" in said
    assert f"there are {', '.join(QUEUES)}" in said


class Begun(Exception):
    """It got as far as warming up."""


@pytest.mark.parametrize(
    ("redis_url", "words"),
    [
        ("", "SHOT_TO_SHIP_REDIS_URL is not set"),
        ("queue:6379", "REDIS_URL is no address"),
        ("redis://127.0.0.1:9/0", ""),
    ],
)
def test_a_worker_begins_where_it_is_told_a_queue(monkeypatch, tmp_path, redis_url, words):
    """Without one it ends with a sentence, before anything is compiled."""

    def begun(*_):
        raise Begun

    monkeypatch.setattr(start, "warm_up", begun)
    monkeypatch.setattr(start, "log_as_json", lambda level: None)
    monkeypatch.setattr(start.os, "umask", lambda mask: mask)
    monkeypatch.setattr("sys.argv", ["worker"])
    monkeypatch.setenv("SHOT_TO_SHIP_DATA", str(tmp_path))
    monkeypatch.setenv("SHOT_TO_SHIP_REDIS_URL", redis_url)
    with pytest.raises(SystemExit if words else Begun, match=words):
        start.main(planner=lambda *_: None)


@pytest.mark.parametrize(
    ("given", "worked"),
    [
        ([], [("small,large", "worker")]),
        (["--queues", "small"], [("small", "worker")]),
        (["--queues", "large,small", "--queues", "small", "--name", "w"], [("large,small", "w1"), ("small", "w2")]),
    ],
)
def test_it_takes_from_all_without_a_word_and_is_several_by_more(monkeypatch, tmp_path, given, worked):
    """Warmed up once, however many they are."""
    warmed, begun = [], []
    monkeypatch.setattr(start, "warm_up", lambda *_: warmed.append(1))
    monkeypatch.setattr(start, "_work", lambda *told: begun.append(told[-2:]))
    monkeypatch.setattr(start, "open_records", lambda settings: Database("sqlite://"))
    monkeypatch.setattr(start, "several", lambda number, work: [work(n) for n in range(number)])
    monkeypatch.setattr(start, "log_as_json", lambda level: None)
    monkeypatch.setattr(start.gc, "freeze", lambda: None)
    monkeypatch.setattr(start.os, "umask", lambda mask: mask)
    monkeypatch.setattr("sys.argv", ["worker", *given])
    monkeypatch.setenv("SHOT_TO_SHIP_DATA", str(tmp_path))
    monkeypatch.setenv("SHOT_TO_SHIP_REDIS_URL", "redis://127.0.0.1:9/0")
    start.main(planner=lambda *_: None)
    assert (warmed, begun) == ([1], worked)
