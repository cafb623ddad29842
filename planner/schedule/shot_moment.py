"""When a shot of a lot that has its place is done."""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.jit import inlined
from planner.schedule.timing import Timing


@inlined
def shot_done(inst: Instance, timing: Timing, run: int, lot: int, shot: int) -> int:
    """The second at which shot number `shot`, from 1, of a run's lot, a row of the lots' table, is done (RULES, R5)."""
    lots, pieces = timing.lots, timing.pieces
    p = lots[lot, w.PRESS]
    den = inst.shot_den[p, run]
    work = (shot * inst.shot_num[p, run] + den - 1) // den
    piece = lots[lot, w.FIRST_PIECE]
    while pieces[piece, w.WORK] < work:
        work -= pieces[piece, w.WORK]
        piece += 1
    return int(pieces[piece, w.BEGAN] + work)
