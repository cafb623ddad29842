"""What a moulder charges beside the hour (RULES.md, M6), added to the cost of the presses as their work is timed."""

from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.jit import inner
from planner.schedule.timing import Timing


@inner
def charge_changeover(inst: Instance, timing: Timing, p: int, seconds: int, purged: bool, mounted: bool) -> None:
    """A changeover of press p, which ends the bill of the run before."""
    close_bill(inst, timing, p)
    charge = inst.changeover_charge[p, int(purged), int(mounted)]
    timing.totals[w.PRESS_COST] += charge
    timing.bills[p] += charge + seconds * inst.press_cost_s[p]


@inner
def charge_shots(inst: Instance, timing: Timing, p: int, run: int, shots: int) -> None:
    """A price a piece, by the shot."""
    timing.totals[w.PRESS_COST] += shots * (inst.shot_charge[p, run] - inst.shot_charge_least[run])
    timing.bills[p] += shots * inst.shot_charge[p, run]


@inner
def charge_work(inst: Instance, timing: Timing, p: int, k: int, begin: int, end: int) -> None:
    """Every shift of stretch k, counted from its opening, in which anything is worked from begin to end."""
    length, presses = inst.shift_s[p], timing.presses
    if length <= 0 or end <= begin:
        return
    first = (begin - inst.open_start[k]) // length
    last = (end - 1 - inst.open_start[k]) // length
    if presses[p, w.PAID_STRETCH] == k:
        first = max(first, presses[p, w.PAID_SHIFTS])
    if last >= first:
        timing.totals[w.PRESS_COST] += (last - first + 1) * inst.shift_charge[p]
    presses[p, w.PAID_STRETCH] = k
    presses[p, w.PAID_SHIFTS] = max(first, last + 1)


@inner
def close_bill(inst: Instance, timing: Timing, p: int) -> None:
    """What a run falls short of the least that it is billed."""
    bill = timing.bills[p]
    if 0.0 < bill < inst.least_bill[p]:
        timing.totals[w.PRESS_COST] += inst.least_bill[p] - bill
    timing.bills[p] = 0.0
