"""The last moment at which a bench can begin so much work and still be done: against going forward from each moment."""

import random

import numpy as np

from planner.schedule.bounds.earliest import _worked
from planner.schedule.bounds.latest_begin import TOO_LATE, begun_by


def test_nothing_begun_later_is_done_in_time() -> None:
    """Stretches with different people, work that pauses at closings: of all moments, forward, the last in time."""
    draw = random.Random(5)
    seen = {"never": 0, "over a closing": 0}
    for _ in range(200):
        at, hours = 0, []
        for _ in range(draw.randint(1, 3)):
            opens = at + draw.randint(0, 6)
            at = opens + draw.randint(1, 9)
            hours.append((opens, at, draw.randint(1, 3)))
        until, work = draw.randint(0, at + 4), draw.randint(1, 25)
        begins = [begin for begin in range(at) if _worked(hours, begin, work) <= until]
        opens, closes, people = (np.array(column) for column in zip(*hours, strict=True))
        last = begun_by(opens, closes, people, until, work)
        assert last == (begins[-1] if begins else TOO_LATE) or (begins and 0 <= last - begins[-1] <= 1)
        seen["never"] += not begins
        seen["over a closing"] += bool(begins) and last < hours[-1][0] and until > hours[-1][0]
    assert min(seen.values()) >= 20, seen


def test_work_that_takes_no_time_may_begin_at_the_last_moment() -> None:
    nothing = np.zeros(0, dtype=np.int64)
    assert begun_by(nothing, nothing, nothing, 7, 0) == 7
    assert begun_by(nothing, nothing, nothing, 7, 1) == TOO_LATE
