"""What a branch cannot escape: leftovers of what is bought, and lateness of each batch alone.

Why: of 20 campaigns of ten runs five were open after 10 s while presses alone were bounded; all five pay for leftovers,
three are late.
"""

from planner.schedule import timing as w
from planner.schedule.branch_and_bound.path_state import PICKUPS, SAFE_KG
from planner.schedule.branch_and_bound.records import BenchHours, Branching
from planner.schedule.instance import NEVER, Floats, Instance
from planner.schedule.jit import inner
from planner.schedule.timing import Timing


@inner
def lines(inst: Instance, totals: Floats) -> float:
    """What the presses' lines, leftovers apart, bring to the objective so far."""
    money = totals[w.PRESS_COST] + totals[w.SETTER_COST] + totals[w.PURGE_COST] + totals[w.STARTUP_COST]
    kg = totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG]
    return float(inst.aim_cost * money + inst.aim_waste * kg)


@inner
def kept_over(inst: Instance, m: int, kg: float) -> float:
    """What whole bags and a minimum order leave over of material m if so much of it is used in all."""
    short = kg - SAFE_KG - inst.material_have[m]
    if short <= SAFE_KG:
        return 0.0
    bag = inst.bag_kg[m]
    order = -(-(max(short, inst.min_order_kg[m]) - SAFE_KG) // bag) * bag
    kept = min(order, order - short + inst.material_regrind[m])
    return float(inst.aim_cost * (kept - 2 * SAFE_KG) * inst.material_price[m])


@inner
def met(inst: Instance, timing: Timing, tables: Branching, n: int, lot: int) -> None:
    """Put batches off to the pick-ups that the shots of this lot let them reach."""
    lots, pieces, marks, sent = timing.lots, timing.pieces, tables.marks, tables.sent
    need_ptr, needs, latest, hours = tables.need_ptr, tables.needs, tables.latest, tables.hours
    begins, standing = tables.begins, tables.standing
    run, p = inst.lot_run[lot], lots[lot, w.PRESS]
    before, after = tables.made[n - 1, run], tables.made[n, run]
    num, den = inst.shot_num[p, run], inst.shot_den[p, run]
    piece = lots[lot, w.FIRST_PIECE]
    gone = 0
    for i in range(need_ptr[run], need_ptr[run + 1]):
        shots = needs[i, 0]
        if shots <= before:
            continue
        if shots > after:
            break
        seconds = ((shots - before) * num + den - 1) // den - gone
        while pieces[piece, w.WORK] < seconds:
            seconds -= pieces[piece, w.WORK]
            gone += pieces[piece, w.WORK]
            piece += 1
        moment = pieces[piece, w.BEGAN] + seconds
        k = sent[n, needs[i, 1]]
        while k < marks[PICKUPS] and latest[i, k] < moment:
            k += 1
        sent[n, needs[i, 1]] = k
        job = needs[i, 3]
        if job >= 0:
            begins[n, job] = max(begins[n, job], position(hours, 0, moment + needs[i, 2]))
        for side in range(2):
            there = position(hours, side, moment + needs[i, 2])
            standing[n, side, needs[i, 1]] = max(standing[n, side, needs[i, 1]], there)


@inner
def position(bench: BenchHours, side: int, moment: int) -> float:
    """Person-seconds a bench (0 assembly, 1 packing) has worked by a moment."""
    hours, worked = bench.hours, bench.worked
    low, high = 0, int(worked[side, 0])
    while low < high:
        middle = (low + high) >> 1
        if hours[side, middle, 0] <= moment:
            low = middle + 1
        else:
            high = middle
    if low == 0:
        return 0.0
    k = low - 1
    return float(worked[side, low] + (min(moment, hours[side, k, 1]) - hours[side, k, 0]) * hours[side, k, 2])


@inner
def late(inst: Instance, timing: Timing, tables: Branching, n: int, since: int, shut: int) -> float:
    """Lateness no way to go on escapes: each batch alone waits for its own shots on the presses as they stand."""
    marks, sent, made = tables.marks, tables.sent, tables.made
    last, last_of, own_ptr, own = tables.last, tables.last_of, tables.own_ptr, tables.own
    until, least_s, a_shot, sizes = tables.until, tables.least_s, tables.a_shot, tables.sizes
    scratch, penalty = tables.scratch, tables.penalty
    many = timing.presses.shape[0]
    _used_up(inst, timing, tables, since, shut)
    money = 0.0
    farthest = 0
    for b in range(sent.shape[1]):
        k = sent[n, b]
        open_needs = False
        total = 0.0
        for p in range(many):
            scratch[1, p] = scratch[2, p] = scratch[3, p] = 0.0
        for i in range(own_ptr[b], own_ptr[b + 1]):
            r = own[i, 0]
            missing = own[i, 1] - made[n, r]
            if missing <= 0:
                continue
            open_needs = True
            extra_shots = max(0, -(-missing // sizes[r, 1]) * sizes[r, 0] - missing)
            fewest = extra = NEVER * 1.0
            only = -1
            for p in range(many):
                if a_shot[p, r] <= 0.0 or (shut >> p) & 1 != 0:
                    continue
                only = p if only == -1 else -2
                enter = least_s[p, r] if last[n, p] != last_of[p, r] else 0.0
                fewest = min(fewest, enter + missing * a_shot[p, r] - 2.0)
                extra = min(extra, extra_shots * a_shot[p, r])
            while k < marks[PICKUPS]:
                could = False
                for p in range(many):
                    if a_shot[p, r] > 0.0:
                        enter = least_s[p, r] if last[n, p] != last_of[p, r] else 0.0
                        there = until[own[i, 2], k, p] - max(scratch[0, p], tables.ready[p, r])
                        could = could or there >= enter + missing * a_shot[p, r] - 2.0
                if could:
                    break
                k += 1
            total += fewest + extra
            if only >= 0:
                scratch[1, only] += fewest + extra
                scratch[2, only] = max(scratch[2, only], extra_shots * a_shot[only, r])
            for p in range(many):  # the largest extras, as many as there are presses
                if extra > scratch[3, p]:
                    extra, scratch[3, p] = scratch[3, p], extra
        if open_needs:
            for p in range(many):
                total -= scratch[3, p]
            while k < marks[PICKUPS]:
                could = True
                free = 0.0
                for p in range(many):
                    there = max(0.0, until[tables.needs.shape[0] + b, k, p] - scratch[0, p])
                    free += there
                    could = could and there >= scratch[1, p] - scratch[2, p]
                if could and free >= total:
                    break
                k += 1
        k = _all_jobs_done(inst, tables, n, b, k)
        sent[n, b] = k
        money += penalty[b, k]
        farthest = max(farthest, k)
    return float(money + penalty[sent.shape[1], farthest])


@inner
def _used_up(inst: Instance, timing: Timing, tables: Branching, since: int, shut: int) -> None:
    """Seconds of each press that are gone as they stand, into the first row of `scratch`; NEVER: the press is shut."""
    presses = timing.presses
    for p in range(presses.shape[0]):
        moment = max(presses[p, w.FREE], since)
        k = presses[p, w.STRETCH]
        end = inst.open_ptr[p + 1]
        while k < end and inst.open_end[k] <= moment:
            k += 1
        usable = moment - inst.open_start[k] - inst.restart_s[p] if k < end else 0
        tables.scratch[0, p] = tables.gained[k + p] + max(0, usable) if (shut >> p) & 1 == 0 else float(NEVER)


@inner
def _all_jobs_done(inst: Instance, tables: Branching, n: int, b: int, k: int) -> int:
    """The first pick-up from k on by which a batch's jobs can all be done, one after the other: all of them from the
    first, then all but the first, and so on."""
    begins = tables.begins
    for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
        done = begins[n, job]
        for other in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            if begins[n, other] >= begins[n, job]:
                done += inst.job_work[other]
        while k < tables.marks[PICKUPS] and tables.by[b, k] < done:
            k += 1
    return k
