"""A bound worked out beside the search: each result once, the best of them with the last order of runs there was."""

from threading import Event

import pytest

from planner.schedule.bounds import background
from planner.schedule.bounds.background import BackgroundBound


@pytest.fixture
def thinks(monkeypatch):
    """What the thread works out, in place of bounds."""

    def thinking(results):
        def thought(*_):
            for one in results:
                if isinstance(one, BaseException):
                    raise one
                if isinstance(one, Event):
                    one.wait(10)
                else:
                    yield one

        monkeypatch.setattr(background, "thought", thought)
        return BackgroundBound(None, None, 1.0, lambda: 0.0)

    return thinking


def never():
    return False


def test_the_last_bound_comes_with_the_last_order_of_runs(thinks):
    """A better bound may have no order of its own: the one before stays."""
    assert thinks([(1, None), (2, [[0, 1]]), (3, None)]).awaited(never) == (3, [[0, 1]])
    assert thinks([(1, [[0]]), (2, [[1]])]).awaited(never) == (2, [[1]])
    assert thinks([(1, None)]).awaited(never) == (1, None)
    assert thinks([]).awaited(never) is None


def test_each_result_is_given_once(thinks):
    one = thinks([(1, None), (2, None)])
    one._work.result()
    assert [one.arrived(), one.arrived(), one.arrived()] == [(1, None), (2, None), None]
    assert one.finished()


def test_a_fault_is_told_once(thinks):
    one = thinks([(1, None), ValueError("its own")])
    with pytest.raises(ValueError, match="its own"):
        one._work.result()
    assert one.arrived() == (1, None)
    with pytest.raises(ValueError, match="its own"):
        one.arrived()
    assert one.arrived() is None


def test_a_stop_does_not_wait_for_what_is_being_worked_out(thinks):
    """What was there by then is given."""
    hold = Event()
    one = thinks([(1, [[0]]), hold, (2, None)])
    while not one._found:
        pass
    assert not one.finished()
    assert one.awaited(lambda: True) == (1, [[0]])
    hold.set()
