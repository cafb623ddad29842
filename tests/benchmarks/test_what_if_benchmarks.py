"""The benchmarks of promises and slips run, at their smallest size, and say what they are to say."""

from benchmarks.generator import sized, small
from benchmarks.promise_replications import plain_seconds, seconds
from benchmarks.replan_after_slips import ROWS, after
from benchmarks.slips_table import table
from planner.control import Unhurried
from planner.planning.make import make_plan


def test_floors_against_plain_python():
    """Both sides of the ratio that the benchmark prints are there to be measured; how large it is it says itself."""
    assert all(measured > 0 for measured in (*seconds("XS", 200, 1), plain_seconds("XS", 2)))


def test_replanning_rows():
    """Kept to the letter no run moves; from the order on, planning is never dearer than keeping it."""
    for slip in after(sized("XS", 1), 2, 1):
        assert set(slip) == set(ROWS)
        assert slip[ROWS[0]][1] == 1.0
        assert slip[ROWS[1]][0] <= slip[ROWS[0]][0] + 1e-9


def test_slip_table_of_a_small_campaign():
    campaign = small(2)
    quick = campaign.planning.model_copy(update={"rounds": 0})
    plan = make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())
    rows, cells, _ = table(campaign, plan, (2,), 1)
    assert len(cells) == 2 * len(rows)
    assert all(c.audited for c in cells if c.possible)
