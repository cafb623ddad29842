"""What a run waited for that a moment or another run kept back: a wish (RULES.md, Y2), or what goes into its mould
(O2)."""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.lot_begins import lot_begin
from planner.schedule.timing import Timing

WISH, OVER = "a wish", "what it is moulded over"


def kept_back_by(inst: Instance, timing: Timing, lot: int) -> str:
    """A wish where one names that moment, or puts a run first that ended then; else what goes into the mould."""
    run = int(inst.lot_run[lot])
    if not inst.over_ptr.size or inst.over_ptr[run] == inst.over_ptr[run + 1]:
        return WISH
    begin = lot_begin(timing, lot)
    first = [other for other in range(inst.lot_run.size) if inst.run_after[run, inst.lot_run[other]]]
    wished = begin == inst.run_from[run] or any(timing.lots[other, w.END] == begin for other in first)
    return WISH if wished else OVER
