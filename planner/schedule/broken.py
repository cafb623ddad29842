"""Runs that others' work breaks off, each part a lot of its own, before the plan is written down."""

import numpy as np

from planner.schedule import timing as w
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.lot_begins import lot_begin
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import Timing, timing_for


def broken(inst: Instance, solution: Solution) -> tuple[Instance, Solution]:
    """The same plan, its lots cut where others took the press over; none of them is broken off any more."""
    if not inst.sharing:
        return inst, solution
    timing = timing_for(inst)
    value = objective_of(packed_instance(inst), solution, timing)
    rows = int(timing.rows[0])
    if rows == inst.lot_run.size:
        return inst._replace(broken_off=0), solution
    parts: dict[int, list[int]] = {}
    for row in timing.lots[:, w.ORDER].tolist()[:rows]:
        parts.setdefault(int(timing.lots[row, w.LOT]), []).append(row)
    lots = solution.lots()
    heads = [[row for lot in mine[: inst.pinned[p]] for row in parts[lot]] for p, mine in enumerate(lots)]
    rest = [[row for lot in mine[inst.pinned[p] :] for row in parts[lot]] for p, mine in enumerate(lots)]
    numbered = [row for group in (*heads, *rest) for row in group]  # pinned lots first, as the search counts them off
    number = {row: n for n, row in enumerate(numbered)}
    release = np.zeros(len(numbered), dtype=np.int64)
    if inst.lot_release.size:
        for lot, release_s in enumerate(inst.lot_release.tolist()):
            release[number[parts[lot][0]]] = release_s
    cut = inst._replace(
        lot_run=inst.lot_run[timing.lots[numbered, w.LOT]],
        lot_shots=timing.lots[numbered, w.SHOTS].astype(np.int64),
        lot_release=release if release.any() else inst.lot_release[:0],
        pinned=np.array([len(head) for head in heads], dtype=np.int64),
        broken_off=0,
    )
    found = Solution.empty(cut)
    for p, (head, more) in enumerate(zip(heads, rest, strict=True)):
        for row in (*head, *more):
            found.append(p, number[row])
    found.order = solution.order.copy()
    if objective_of(packed_instance(cut), found, timing_for(cut)) == value:
        return cut, found
    # A part alone takes less material, and less from its dryer, than the whole run did, so it might begin sooner: it
    # begins when it did.
    for rows_of in parts.values():
        if len(rows_of) > 1:
            for row in rows_of:
                release[number[row]] = lot_begin(timing, row)
    return cut._replace(lot_release=release), found


def tell_why_parts_wait(inst: Instance, timing: Timing) -> None:
    """Set right, in a timing, what a part of a run waits for that could begin without it, but not the whole run: it is
    put off like a run that waits on purpose, and not to an opening of its press."""
    for lot, release in enumerate(inst.lot_release.tolist()):
        row = timing.lots[lot]
        opened = lot_begin(timing, lot)
        if release > 0 and opened == release and release not in inst.open_start:
            dried = inst.dryers > 0 and (inst.run_dryer[inst.lot_run[lot]] >= 0).any()
            row[w.WHY] = w.BY_DRYER if dried and release not in inst.supply_t else w.BY_MATERIAL
