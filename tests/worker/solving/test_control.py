"""What the worker tells a planner: time left, and that somebody asked to stop."""

from planner.control import Progress
from worker.solving.control import LONGEST_STRETCH, WatchedControl
from worker.solving.overrun import Overrun


class Waited:
    """A core that was not free for so long."""

    def __init__(self, seconds: float) -> None:
        self.told = seconds

    def begin(self) -> None:
        pass

    def seconds(self) -> float:
        return self.told


def test_a_stop_is_heard_once_it_is_asked_for():
    """And it is known that the planner heard it."""
    control = WatchedControl(10.0)
    assert (control.should_stop(), control.heard_stop()) == (False, False)
    control.ask_to_stop()
    assert control.heard_stop() is False
    assert (control.should_stop(), control.heard_stop()) == (True, True)


def test_waiting_for_a_core_is_no_time_of_the_budget_within_limits():
    """Twice the budget at the most."""
    now = 0.0
    core = Waited(0.0)
    control = WatchedControl(10.0, 1, lambda: now, core, Overrun(dict))  # type: ignore[arg-type]
    now = 4.0
    assert control.seconds_left() == 6.0
    core.told = 3.0
    assert control.seconds_left() == 9.0
    core.told = 30.0
    assert control.seconds_left() == LONGEST_STRETCH * 10.0 - 4.0
    now = 20.5
    assert control.seconds_left() == 0.0
    assert (control.overran(1.0), control.overran(0.2)) == (False, True)


def test_rounds_leave_no_clock_to_look_at():
    """So that a plan is the same on any machine; the newest progress is what is told."""
    control = WatchedControl(10.0)
    control.leave_to_rounds()
    assert control.seconds_left() is None
    assert control.latest() is None
    control.report(Progress("search", 0.5))
    assert control.latest() == Progress("search", 0.5)
