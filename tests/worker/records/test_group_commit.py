"""Writes that come at once share a transaction, and none fails for another's fault."""

import threading
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import IntegrityError, OperationalError

from worker.records import group_commit
from worker.records.database import Database


@pytest.fixture
def database(tmp_path):
    """With one empty table of names, each at most once."""
    made = Database(f"sqlite:///{tmp_path / 'records.sqlite'}")
    with made.write() as connection:
        connection.execute(text("CREATE TABLE said (who TEXT UNIQUE)"))
    yield made
    made.close()


def say(connection, names):
    """Each name is written; one that is not liked is not, which is that one's affair."""
    liked = [name for name in names if name != "x"]
    if liked:
        connection.execute(text("INSERT INTO said VALUES (:who)"), [{"who": name} for name in liked])
    return [f"{name} of {len(names)}" if name in liked else ValueError(name) for name in names]


def said(database):
    with database.read() as connection:
        return sorted(connection.execute(text("SELECT who FROM said")).scalars())


def at_once(database, names, transaction=None, meanwhile=lambda: None):
    """Everybody's answer or error, where all wait for somebody who is writing; and how many transactions were kept.

    transaction: theirs; None: as always. meanwhile: what happens while all wait.
    """
    kept = []
    event.listen(database.engine, "commit", kept.append)

    def one(name):
        try:
            if transaction is not None:
                return others.write(say, name, transaction, 20.0)
            return database.write_in_group(say, name)
        except (IntegrityError, OperationalError, ValueError) as error:
            return type(error)

    others = database._group_commit
    begun, over = threading.Event(), threading.Event()

    def first(_connection, items):
        begun.set()
        over.wait(20)
        return items

    with ThreadPoolExecutor(len(names) + 1) as threads:
        threads.submit(database.write_in_group, first, None)
        begun.wait(20)
        answers = [threads.submit(one, name) for name in names]
        while len(others._waiting) < len(names):
            over.wait(0.001)
        meanwhile()
        over.set()
        return [answer.result(20) for answer in answers], len(kept) - 1


def test_what_waits_is_written_in_one_transaction(database):
    answers, transactions = at_once(database, list("abcde"))
    assert answers == [f"{name} of 5" for name in "abcde"]
    assert transactions == 1
    assert said(database) == list("abcde")


def test_one_that_is_refused_is_told_and_the_others_stay(database):
    """In the one transaction: nothing of them is done twice."""
    answers, transactions = at_once(database, list("axb"))
    assert answers == ["a of 3", ValueError, "b of 3"]
    assert transactions == 1
    assert said(database) == list("ab")


def test_one_that_fails_takes_nobody_with_it(database):
    database.write_in_group(say, "b")
    answers, _ = at_once(database, list("abc"))
    assert answers == ["a of 1", IntegrityError, "c of 1"]
    assert said(database) == list("abc")


def test_nothing_is_said_to_be_kept_before_it_is(database, monkeypatch):
    """A disk that is full when all is committed: everybody is told, and nothing of it is there."""

    def full(_connection):
        raise OperationalError("COMMIT", None, Exception("database or disk is full"))

    event.listen(database.engine, "commit", full)
    with pytest.raises(OperationalError, match="full"):
        database.write_in_group(say, "a")
    event.remove(database.engine, "commit", full)
    assert said(database) == []
    assert database.write_in_group(say, "b") == "b of 1"


def test_a_turn_that_does_not_come_is_an_answer_for_each(database, monkeypatch):
    """Somebody else's process writes for too long: whoever waits hears of it within the patience, all of them."""
    monkeypatch.setattr("worker.records.database.PATIENCE", 0.1)
    with Database(str(database.url)).write(), ThreadPoolExecutor(3) as threads:
        waiting = [threads.submit(database.write_in_group, say, name) for name in "abc"]
        errors = [one.exception(20) for one in waiting]
    assert all(isinstance(error, OperationalError) for error in errors)
    assert said(database) == []


def test_where_no_transaction_is_to_be_had_nobody_asks_once_more(database):
    """Thirty waited for up to 51 seconds while another program held the file: each asked again after all had."""
    asked = []

    @contextmanager
    def none(patience):
        asked.append(patience)
        raise OperationalError("BEGIN", None, Exception("database is locked"))
        yield

    answers, _ = at_once(database, list("abc"), none)
    assert answers == [OperationalError] * 3
    assert len(asked) == 1


def test_who_waits_for_others_waits_no_longer_for_that(database, monkeypatch):
    """Patience counts from when somebody came, not from when the one before was done."""
    clock, asked = [100.0], []
    monkeypatch.setattr(group_commit.time, "monotonic", lambda: clock[0])

    @contextmanager
    def late(patience):
        asked.append(patience)
        with database.write() as connection:
            yield connection

    at_once(database, list("ab"), late, lambda: clock.append(clock.pop() + 15))
    assert asked == [5.0]


def test_no_more_wait_than_may(database, monkeypatch):
    """Threads are left for those who only read."""
    monkeypatch.setattr(database, "_group_commit", group_commit.GroupCommit(2))
    begun, over = threading.Event(), threading.Event()

    def slow(_connection, items):
        begun.set()
        over.wait(20)
        return items

    with ThreadPoolExecutor(4) as threads:
        threads.submit(database.write_in_group, slow, None)
        begun.wait(20)
        for name in "ab":
            threads.submit(database.write_in_group, say, name)
        while len(database._group_commit._waiting) < 2:
            over.wait(0.001)
        with pytest.raises(OperationalError, match="others"):
            database.write_in_group(say, "c")
        over.set()
    assert said(database) == ["a", "b"]
