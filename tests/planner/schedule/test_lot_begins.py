"""When lots take their presses: at a changeover, or at their first stretch."""

import numpy as np

from planner.schedule.instance import NEVER
from planner.schedule.lot_begins import lot_begin, lot_begins
from planner.schedule.timing import CO_START, FIRST_PIECE, LOT_COLUMNS, OPENED, PIECE_COLUMNS, Timing


def timing(*lots: tuple[int, int], pieces: tuple[int, ...]) -> Timing:
    """lots: each one's changeover and first stretch. pieces: when each stretch opens."""
    found = Timing._make([None] * len(Timing._fields))
    rows = np.zeros((len(lots), LOT_COLUMNS), dtype=np.int64)
    for n, (changeover, first) in enumerate(lots):
        rows[n, CO_START], rows[n, FIRST_PIECE] = changeover, first
    opened = np.zeros((len(pieces), PIECE_COLUMNS), dtype=np.int64)
    opened[:, OPENED] = pieces
    return found._replace(lots=rows, pieces=opened)


def test_at_the_changeover_or_at_the_first_stretch() -> None:
    told = timing((100, 1), (NEVER, 2), (300, 0), pieces=(400, 160, 250))
    assert lot_begins(told, slice(3)).tolist() == [100, 250, 300]
    assert lot_begins(told, slice(2)).tolist() == [100, 250]
    assert [lot_begin(told, n) for n in range(3)] == [100, 250, 300]
    assert lot_begins(timing(pieces=()), slice(0)).size == 0
