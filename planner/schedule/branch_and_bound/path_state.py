"""The branching's stack: what stands where, and the workshop kept at every depth.

Why apart: the branching and its bounds read the same columns.
"""

from planner.schedule.branch_and_bound.records import Branching
from planner.schedule.jit import inner
from planner.schedule.timing import Timing

MARKS = 8
DEPTH, NODES, MOST, BEGUN, KINDS, PICKUPS, IN_ORDER, WAITS = range(MARKS)
"""Where the branching stands: lots placed, branches looked at, how many may be, 1 once begun; kinds of lots, pick-ups
looked at, 1 where lots must begin in the order of the path, openings a lot may wait for on purpose."""

AMOUNTS = 3
LIMIT, FIXED, LEAST = range(AMOUNTS)
"""Objective from which on a branch is cut; what every plan pays; the least the plan in the stack can be worth."""

SAFE_KG = 1e-6
"""Kg that rounding may move."""

FINISHED, USED_UP, LEAF = range(3)

STATE = 10
"""Of a depth: what was tried (kind, press, whether it is the press's last lot), lot put there and its press, pieces so
far, moment of the last begin, number of the set that is left, presses that have had their last lot, and those that had
one but not yet their last, moment at which the lot began, and the opening it waited for on purpose (0: none)."""
TRIED, LOT, ON, PIECE, BEGAN, SET, SHUT, PROMISED, BEGIN, RELEASE = range(STATE)


@inner
def keep(timing: Timing, tables: Branching, d: int) -> None:
    """Store the workshop as it stands at depth d."""
    presses, tools, setters, used, totals = timing.presses, timing.tools, timing.setters, timing.used_kg, timing.totals
    kept_ints, kept_floats = tables.kept_ints, tables.kept_floats
    i = 0
    for p in range(presses.shape[0]):
        for n in range(presses.shape[1]):
            kept_ints[d, i] = presses[p, n]
            i += 1
    for tool in range(tools.shape[0]):
        for n in range(tools.shape[1]):
            kept_ints[d, i] = tools[tool, n]
            i += 1
    for s in range(setters.size):
        kept_ints[d, i] = setters[s]
        i += 1
    for one in range(timing.dryers.shape[0]):
        for n in range(timing.dryers.shape[1]):
            kept_ints[d, i] = timing.dryers[one, n]
            i += 1
    for m in range(used.size):
        kept_floats[d, m] = used[m]
    for m in range(totals.size):
        kept_floats[d, used.size + m] = totals[m]
    for p in range(timing.bills.size):
        kept_floats[d, used.size + totals.size + p] = timing.bills[p]


@inner
def restore(timing: Timing, tables: Branching, d: int) -> None:
    """Bring the workshop back to what it was at depth d."""
    presses, tools, setters, used, totals = timing.presses, timing.tools, timing.setters, timing.used_kg, timing.totals
    kept_ints, kept_floats = tables.kept_ints, tables.kept_floats
    i = 0
    for p in range(presses.shape[0]):
        for n in range(presses.shape[1]):
            presses[p, n] = kept_ints[d, i]
            i += 1
    for tool in range(tools.shape[0]):
        for n in range(tools.shape[1]):
            tools[tool, n] = kept_ints[d, i]
            i += 1
    for s in range(setters.size):
        setters[s] = kept_ints[d, i]
        i += 1
    for one in range(timing.dryers.shape[0]):
        for n in range(timing.dryers.shape[1]):
            timing.dryers[one, n] = kept_ints[d, i]
            i += 1
    for m in range(used.size):
        used[m] = kept_floats[d, m]
    for m in range(totals.size):
        totals[m] = kept_floats[d, used.size + m]
    for p in range(timing.bills.size):
        timing.bills[p] = kept_floats[d, used.size + totals.size + p]
