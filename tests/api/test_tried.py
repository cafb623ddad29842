"""Readiness writes a row to know that rows can be written: once a second, however often it is asked."""

import threading

from api.service import tried
from api.service.tried import HOLDS, Tried
from api.services import health


def test_an_answer_holds_for_a_second():
    """From its end on, good and bad alike."""
    now, asked = [100.0], []

    def attempt():
        asked.append(now[0])
        now[0] += 0.5
        return len(asked) != 2

    one = Tried(lambda: now[0])
    assert one.works(attempt)
    now[0] += HOLDS - 0.001
    assert one.works(attempt)
    assert len(asked) == 1
    now[0] += 0.001
    assert not one.works(attempt)
    assert not one.works(attempt)
    now[0] += HOLDS
    assert one.works(attempt)
    assert len(asked) == 3


def test_who_asks_meanwhile_waits_for_the_same_attempt():
    """Ten watchers at once write one row."""
    one, begun, go, asked, said = Tried(), threading.Event(), threading.Event(), [], []

    def attempt():
        asked.append(1)
        begun.set()
        return go.wait(20)

    threads = [threading.Thread(target=lambda: said.append(one.works(attempt))) for _ in range(10)]
    for thread in threads:
        thread.start()
    assert begun.wait(20)
    go.set()
    for thread in threads:
        thread.join()
    assert (len(asked), said) == (1, [True] * 10)


def test_readiness_asked_often_writes_once(app, monkeypatch):
    """A row was written at each question."""
    written = []
    monkeypatch.setattr(health.counters, "add", lambda *_: written.append(1))
    monkeypatch.setattr(tried, "HOLDS", 60.0)
    for _ in range(5):
        assert app.client.get("/v1/ready").json()["writes"] is True
    assert len(written) == 1
