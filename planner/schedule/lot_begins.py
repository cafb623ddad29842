"""When lots take their presses: at a changeover, or where there is none at the first stretch, a restart included."""

from planner.schedule.instance import Ints
from planner.schedule.timing import CO_START, FIRST_PIECE, OPENED, Timing


def lot_begins(timing: Timing, rows: slice) -> Ints:
    """Of those rows of `timing.lots`, seconds from the start. A lot without a changeover has NEVER as its moment."""
    lots = timing.lots[rows]
    found: Ints = lots[:, CO_START].clip(max=timing.pieces[lots[:, FIRST_PIECE], OPENED])
    return found


def lot_begin(timing: Timing, row: int) -> int:
    """Of one row."""
    return int(lot_begins(timing, slice(row, row + 1))[0])
