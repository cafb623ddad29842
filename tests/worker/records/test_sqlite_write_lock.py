"""Writers of one SQLite file take turns, over processes too."""

import multiprocessing
import threading
from itertools import pairwise
from statistics import median

import pytest
from sqlalchemy import text
from sqlalchemy.exc import OperationalError

from worker.records import sqlite_write_lock
from worker.records.database import Database
from worker.records.migrate import migrate


def _note(url, who, times, over=None):
    database = Database(url)
    for _ in range(times):
        if over is not None and over.is_set():
            break
        with database.write() as connection:
            connection.execute(text("INSERT INTO said (who) VALUES (:who)"), {"who": who})
    database.close()


def test_a_process_that_writes_without_pause_keeps_nobody_out(tmp_path):
    """Another process's twenty writes come between its own, and neither goes on alone for long.

    Not the longest of the gaps: the machine may let the other process rest between two writes, when it asks for
    nothing.
    """
    url = f"sqlite:///{tmp_path / 'records.sqlite'}"
    database = Database(url)
    migrate(database)
    with database.write() as connection:
        connection.execute(text("CREATE TABLE said (number INTEGER PRIMARY KEY, who TEXT)"))
    over = threading.Event()
    greedy = [threading.Thread(target=_note, args=(url, "greedy", 10**6, over)) for _ in range(3)]
    for thread in greedy:
        thread.start()
    modest = multiprocessing.get_context("spawn").Process(target=_note, args=(url, "modest", 20))
    modest.start()
    modest.join(60)
    over.set()
    for thread in greedy:
        thread.join()
    with database.read() as connection:
        said = [row.who for row in connection.execute(text("SELECT who FROM said ORDER BY number"))]
    database.close()
    places = [place for place, who in enumerate(said) if who == "modest"]
    assert len(places) == 20
    # without turns whoever writes goes on writing, 1 from one to the next, until the other gets hold of it for long
    assert 2 <= median(b - a for a, b in pairwise(places)) < 20


def test_a_killed_process_leaves_the_turn_to_others(tmp_path):
    """kill -9 in the middle of its write: the next one writes, and what was not committed is gone."""
    url = f"sqlite:///{tmp_path / 'records.sqlite'}"
    database = Database(url)
    migrate(database)
    inside = multiprocessing.get_context("spawn").Event()
    victim = multiprocessing.get_context("spawn").Process(target=_hold, args=(url, inside))
    victim.start()
    assert inside.wait(30)
    victim.kill()
    victim.join()
    with database.write() as connection:
        assert connection.execute(text("SELECT count(*) FROM workshops")).scalar_one() == 0
    database.close()


def _hold(url, inside):
    with Database(url).write() as connection:
        values = "('w', 'willow', 1.0, 100, 10, 3, 1000, 0)"
        connection.execute(text(f"INSERT INTO workshops VALUES {values}"))
        inside.set()
        threading.Event().wait()


def test_a_writer_waits_with_a_limit_and_reads_go_on(tmp_path):
    """Somebody stuck in the middle of a write held up every other writer for ever, and with them all threads."""
    ours, stuck = (Database(f"sqlite:///{tmp_path / 'records.sqlite'}") for _ in range(2))
    migrate(ours)
    with stuck.write():
        with pytest.raises(OperationalError), ours.write(patience=0.05):
            pass
        with ours.read() as connection:
            assert connection.execute(text("SELECT count(*) FROM plans")).scalar_one() == 0
    with ours.write(patience=0.05):
        pass
    ours.close()
    stuck.close()


def test_so_many_threads_wait_and_no_more(tmp_path, monkeypatch):
    monkeypatch.setattr(sqlite_write_lock, "MOST_WAITING", 2)
    waiting = sqlite_write_lock.SqliteWriteLock(tmp_path / "records.sqlite")
    with waiting.held(), waiting._room, pytest.raises(sqlite_write_lock.TookTooLong), waiting.held(patience=1000.0):
        pass
