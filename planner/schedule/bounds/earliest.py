"""The earliest each pack batch could leave if it were the only one: what that is late is late in every plan."""

from dataclasses import dataclass

import numpy as np

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.lot_sizes import smallest_lots


@dataclass(frozen=True)
class Earliest:
    """pickup (B): first pick-up each batch could leave with. late: money that then costs, at the least.

    assembly_begins, packing_begins: seconds before which neither bench has anything to do.
    """

    pickup: Ints
    late: float
    assembly_begins: int
    packing_begins: int


def earliest_dispatch(inst: Instance, least: Changeovers) -> Earliest:
    """Work out each batch alone; see the module's docstring."""
    pickup = np.zeros(inst.batch_work.size, dtype=np.int64)
    late = 0.0
    asm = list(zip(inst.asm_start.tolist(), inst.asm_end.tolist(), inst.asm_people.tolist(), strict=True))
    pack = list(zip(inst.pack_start.tolist(), inst.pack_end.tolist(), inst.pack_people.tolist(), strict=True))
    seen: dict[tuple[int, int], int] = {}
    smallest, in_hand = smallest_lots(inst), inst.in_hand

    def met(good: int, quantity: int) -> int:
        if inst.good_run[good] < 0:
            steps = range(inst.piece_ptr[good], inst.piece_ptr[good + 1])
            return min((int(inst.piece_t[s]) for s in steps if inst.piece_count[s] >= quantity), default=NEVER)
        beyond = quantity - int(in_hand[good])
        if beyond <= 0:
            return 0
        shots = -(-beyond * int(inst.good_count_shots[good]) // int(inst.good_need[good]))
        run = int(inst.good_run[good])
        if inst.several and inst.first_source[good] < inst.last_source[good]:
            return min(by_tool(good, beyond)) + int(inst.good_rest_s[good])
        if (run, shots) not in seen:
            seen[run, shots] = _first_done(inst, least, run, shots, int(smallest[run]))
        return seen[run, shots] + int(inst.good_rest_s[good])

    def by_tool(good: int, parts: int) -> list[int]:
        """When each of several tools could have made its even part of so many: one of them must make as many."""
        sources = range(inst.first_source[good], inst.last_source[good])
        each = -(-parts // len(sources))
        shots = {s: -(-each * int(inst.good_count_shots[s]) // int(inst.good_need[s])) for s in sources}
        return [_first_done(inst, least, int(inst.good_run[s]), shots[s], 1) for s in sources]

    first_job = first_pack = NEVER
    for b in range(pickup.size):
        jobs = range(inst.job_ptr[b], inst.job_ptr[b + 1])
        ready = 0
        begins, work = [], 0
        for job in jobs:
            needs = range(inst.job_need_ptr[job], inst.job_need_ptr[job + 1])
            there = max((met(int(inst.job_good[i]), int(inst.job_qty[i])) for i in needs), default=0)
            begins.append(there)
            work += int(inst.job_work[job])
            ready = max(ready, _worked(asm, there, int(inst.job_work[job])))
        if begins:
            ready = max(ready, _worked(asm, min(begins), work))
        own = range(inst.batch_need_ptr[b], inst.batch_need_ptr[b + 1])
        for i in own:
            ready = max(ready, met(int(inst.batch_good[i]), int(inst.batch_qty[i])))
        first_job, first_pack = min([first_job, *begins]), min(first_pack, ready)
        packed = _worked(pack, ready, int(inst.batch_work[b]))
        first = int(np.searchsorted(inst.pickup_t, packed))
        if inst.leaving:
            mine = np.flatnonzero(inst.pickup_carrier[first:] == inst.batch_carrier[b])
            first += int(mine[0]) if mine.size else inst.pickup_t.size
        pickup[b] = min(first, inst.pickup_t.size - 1)
        late += max(0, int(inst.pickup_day[pickup[b]]) - int(inst.batch_due[b])) * float(inst.batch_late_cost[b])
    return Earliest(pickup, late, min(first_job, first_pack), first_pack)


def _worked(hours: list[tuple[int, int, int]], ready: int, left: int) -> int:
    """When a bench with nothing else to do has done `left` person-seconds."""
    for opens, closes, people in hours:
        begin = max(ready, opens)
        if begin >= closes:
            continue
        if left <= (closes - begin) * people:
            return begin + -(-left // people)
        left -= (closes - begin) * people
    return NEVER


def _first_done(inst: Instance, least: Changeovers, run: int, shots: int, smallest: int) -> int:
    """When so many shots of a run could be done at the earliest, on one press or, lot by lot, on several."""
    presses = [int(p) for p in np.flatnonzero(inst.fits[:, run])]
    if len(presses) == 1 or shots <= smallest:
        return min((_shots_done(inst, least, p, run, shots, smallest) for p in presses), default=NEVER)
    # the tool may follow open presses: the fastest of them, open whenever one is, no restarts
    begin = max(int(inst.tool_ready[inst.run_tool[run]]), _material(inst, run, smallest))
    left = min(-(-shots * int(inst.shot_num[p, run]) // int(inst.shot_den[p, run])) for p in presses)
    spans = sorted(
        (int(inst.open_start[k]), int(inst.open_end[k]))
        for p in presses
        for k in range(inst.open_ptr[p], inst.open_ptr[p + 1])
    )
    for opens, closes in spans:
        begin = max(begin, opens)
        if closes > begin:
            if left <= closes - begin:
                return begin + left
            left -= closes - begin
            begin = closes
    return NEVER


def _shots_done(inst: Instance, least: Changeovers, p: int, run: int, shots: int, smallest: int) -> int:
    """When a press with nothing else to do could have done so many shots of a run, its kindest changeover before."""
    tool = inst.run_tool[run]
    earliest = max(int(inst.tool_ready[tool]), _material(inst, run, smallest))
    left = -(-shots * int(inst.shot_num[p, run]) // int(inst.shot_den[p, run]))
    runs = inst.run_tool.size
    others = [*np.flatnonzero(inst.fits[p]), runs]
    startup = int(inst.startup_s[p, run])
    into = min(
        (int(least.seconds[p, q, run]) if least.needed[p, q, run] else startup for q in others if q != run),
        default=startup,
    )
    first = True
    for k in range(inst.open_ptr[p], inst.open_ptr[p + 1]):
        opens = int(inst.open_start[k])
        begin = max(earliest, opens)
        # other work may have warmed the press before our moment came
        lost = max(0, int(inst.restart_s[p]) - (begin - opens)) + (into if first else startup)
        available = int(inst.open_end[k]) - begin - lost
        if available <= 0:
            # the changeover alone may end with this stretch
            first = first and available < 0
            continue
        first = False
        if left <= available:
            return begin + lost + left
        left -= available
    return NEVER


def _material(inst: Instance, run: int, shots: int) -> int:
    """When there is material for so many shots of a run, nothing having been used before."""
    latest = 0
    for b, melt in enumerate(inst.run_melt[run]):
        if melt < 0:
            continue
        kg, share = shots * float(inst.shot_kg[run, b]), float(inst.melt_master_share[melt])
        for material, amount in ((inst.melt_resin[melt], kg * (1 - share)), (inst.melt_master[melt], kg * share)):
            if material >= 0:
                steps = range(inst.supply_ptr[material], inst.supply_ptr[material + 1])
                there = [int(inst.supply_t[s]) for s in steps if inst.supply_kg[s] >= amount - 1e-9]
                latest = max(latest, min(there, default=NEVER))
    return latest


def material_there(inst: Instance, run: int) -> int:
    """When there is material for the smallest lot of a run, nothing having been used before."""
    return _material(inst, run, int(smallest_lots(inst)[run]))
