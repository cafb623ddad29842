"""Inspection of one lot: the largest sample serves all kinds, small lots whole, minutes on the bench."""

import pytest

from planner.quality.inspection import DefectKind, InspectorTimes, check_for, inspect_lot
from planner.quality.schemes import NoSuchPlan
from planner.quality.switching import standing

TIMES = InspectorTimes(piece=0.5, lot=10, off_check=6, off_pieces=4, destroyed_share=0.03)


def test_one_sample_serves_every_kind_of_defect() -> None:
    """MIL-STD-105E, lot 1000, level II is letter J: AQL 1.0 n 80 Ac 2, 4.0 n 80 Ac 7, 0.1 to K 125."""
    plan = inspect_lot(1000, [DefectKind("unusable", 0.1), DefectKind("leaks", 1.0), DefectKind("looks", 4.0)], TIMES)
    assert [(c.letter, c.n, c.accept) for c in plan.checks] == [("K", 125, 0), ("J", 80, 2), ("J", 80, 7)]
    assert "arrow leads from letter J to K" in plan.checks[0].why
    assert plan.sample == 125
    assert plan.minutes == 10 + 125 * 0.5 + 2 * 6
    assert plan.used_up == 4  # 3 % of 125 is 3.75 pieces: four are lost
    assert (plan.first_off, plan.last_off) == (4, 4)


@pytest.mark.parametrize("lot", [1, 2, 30, 125])
def test_small_lots_are_inspected_whole(lot: int) -> None:
    """MIL-STD-105E: where the sample is not smaller than the lot, every piece is inspected."""
    check = check_for(lot, DefectKind("unusable", 0.1))
    assert (check.every_piece, check.n, check.accept) == (True, lot, 0)


def test_lot_beyond_the_tables_end_is_inspected_whole() -> None:
    """Letter R at AQL 0.015 leaves the table: every piece, and the reason is said."""
    check = check_for(600_000, DefectKind("unusable", 0.015, "III"))
    assert check.every_piece
    assert check.n == 600_000
    assert "no plan" in check.why


def test_refusals() -> None:
    """No kind of defect, an empty lot and a made-up AQL are refused, even for a lot of one."""
    with pytest.raises(ValueError, match="at least one"):
        inspect_lot(100, [], TIMES)
    with pytest.raises(NoSuchPlan, match="nothing to inspect"):
        check_for(0, DefectKind("looks", 1.0))
    with pytest.raises(NoSuchPlan, match="not one of the table's"):
        check_for(1, DefectKind("looks", 3.0))


def test_switching_between_normal_and_tightened() -> None:
    """MIL-STD-105E 4.7, from memory: 2 of 5 rejected tightens, 5 accepted in a row ease, 5 rejected stop."""
    assert standing([True] * 20).next == "normal"
    assert standing([True, False, True, True, True, True, False]).next == "normal"
    assert standing([True, False, True, False]).next == "tightened"
    assert standing([False, False, *[True] * 4]).next == "tightened"
    assert standing([False, False, *[True] * 5]).next == "normal"
    assert standing([False, False, True, False, False, True, False, False, False]).next == "stop"
