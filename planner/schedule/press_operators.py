"""People who stay at a press while it moulds, e.g. to lay inserts in (RULES.md, R26).

Each place keeps a row of when its people are free, soonest first; who of them goes where makes no difference.
"""

from planner.schedule.instance import Instance
from planner.schedule.jit import inner
from planner.schedule.timing import Timing


@inner
def tends(inst: Instance, run: int) -> int:
    """How many people stay at the press while a run is moulded."""
    return int(inst.run_operators[run]) if inst.tended != 0 else 0


@inner
def worked_until(inst: Instance, k: int, run: int, closing: int) -> int:
    """Until when a run is worked on in stretch k: no longer than somebody is there where people stay with it, or its
    melt must be cleared."""
    return int(inst.hands_end[k] if closing > 0 or tends(inst, run) > 0 else inst.open_end[k])


@inner
def operators_free(inst: Instance, timing: Timing, p: int, run: int) -> int:
    """When as many people are free where press p stands as a run asks for; 0 where there are always enough."""
    many = tends(inst, run)
    if inst.operators == 0 or many == 0:
        return 0
    return int(timing.operators[inst.operator_first[p] + many - 1])


@inner
def keep_operators(inst: Instance, timing: Timing, p: int, run: int, until: int) -> None:
    """Those who are free first stay at press p until then."""
    many = tends(inst, run)
    if inst.operators == 0 or many == 0:
        return
    free, first, last = timing.operators, inst.operator_first[p], inst.operator_last[p]
    at = first
    while at + many < last and free[at + many] <= until:
        free[at] = free[at + many]
        at += 1
    for n in range(many):
        free[at + n] = until
