"""Regrind under its limit, and what the melt is made of in the long run."""

import pytest

from planner.material import MeltUse, generations, regrind


def test_steady_state_generations_at_a_quarter():
    """75, 18.75, 4.69, 1.17 % (handbook example of a quarter fed back for ever; geometric series)."""
    assert [round(100 * g, 2) for g in generations(0.25, 4)] == [75, 18.75, 4.69, 1.17]


def test_generations_agree_with_feeding_back_step_by_step():
    """Mixing a quarter of the last melt into virgin resin, forty times over, gives the same shares."""
    melt = [1.0] + [0.0] * 59
    for _ in range(40):
        melt = [0.75] + [0.25 * share for share in melt[:-1]]
    assert melt[:6] == pytest.approx(generations(0.25, 6))


def test_limited_by_share_or_by_runners():
    """Sage has runners to spare (limit 10 % of 100 kg); slate has only 3 kg of runners."""
    melts = [MeltUse("pp", "sage", 60, 9), MeltUse("pp", "sage", 40, 6), MeltUse("pp", "slate", 50, 3)]
    assert regrind(melts, {"pp": 0.1}) == {"pp": pytest.approx(10 + 3)}


def test_colours_do_not_lend_each_other_runners():
    """All runners in one colour, all mouldings in the other: nothing to feed back."""
    assert regrind([MeltUse("pp", "sage", 0, 8), MeltUse("pp", "slate", 50, 0)], {"pp": 0.3}) == {}


def test_no_limit_no_regrind():
    """A resin without a regrind share takes none."""
    assert regrind([MeltUse("tpe", "sage", 10, 1)], {}) == {}
