"""What a branch cannot escape: leftovers of what is bought, and lateness of each batch alone.

Why: of 20 campaigns of ten runs five were open after 10 s while presses alone were bounded; all five pay for leftovers,
three are late.
"""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.jit import inner
from planner.schedule.proof.branch_state import PICKUPS, SAFE_KG


@inner
def lines(floats: Floats, ints: Ints, totals: Floats) -> float:
    """What the presses' lines, leftovers apart, bring to the objective so far."""
    money = totals[w.PRESS_COST] + totals[w.SETTER_COST] + totals[w.PURGE_COST] + totals[w.STARTUP_COST]
    kg = totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG]
    return float(floats[ints[t.AIM_COST]] * money + floats[ints[t.AIM_WASTE]] * kg)


@inner
def kept_over(ints: Ints, floats: Floats, m: int, kg: float) -> float:
    """What whole bags and a minimum order leave over of material m if so much of it is used in all."""
    short = kg - SAFE_KG - floats[ints[t.MATERIAL_HAVE] + m]
    if short <= SAFE_KG:
        return 0.0
    bag = floats[ints[t.BAG_KG] + m]
    order = -(-(max(short, floats[ints[t.MIN_ORDER_KG] + m]) - SAFE_KG) // bag) * bag
    kept = min(order, order - short + floats[ints[t.MATERIAL_REGRIND] + m])
    return float(floats[ints[t.AIM_COST]] * (kept - 2 * SAFE_KG) * floats[ints[t.MATERIAL_PRICE] + m])


@inner
def met(
    ints: Ints, run: int, lot: int, p: int, before: int, after: int, lots: Ints, pieces: Ints, need_ptr: Ints,
    needs: Ints, latest: Ints, sent: Ints, n: int, marks: Ints, hours: Floats, bench: Floats, standing: Floats,
    begins: Floats,
) -> None:  # fmt: skip
    """Put batches off to the pick-ups that the shots of this lot let them reach."""
    at = p * (ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]) + run
    num, den = ints[ints[t.SHOT_NUM] + at], ints[ints[t.SHOT_DEN] + at]
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
            begins[n, job] = max(begins[n, job], position(hours, bench, 0, moment + needs[i, 2]))
        for side in range(2):
            there = position(hours, bench, side, moment + needs[i, 2])
            standing[n, side, needs[i, 1]] = max(standing[n, side, needs[i, 1]], there)


@inner
def position(hours: Floats, bench: Floats, side: int, moment: int) -> float:
    """Person-seconds a bench (0 assembly, 1 packing) has worked by a moment. hours (2, H, 3): opens, closes, people."""
    low, high = 0, int(bench[side, 0])
    while low < high:
        middle = (low + high) >> 1
        if hours[side, middle, 0] <= moment:
            low = middle + 1
        else:
            high = middle
    if low == 0:
        return 0.0
    k = low - 1
    return float(bench[side, low] + (min(moment, hours[side, k, 1]) - hours[side, k, 0]) * hours[side, k, 2])


@inner
def late(
    ints: Ints, n: int, presses: Ints, since: int, shut: int, last: Ints, last_of: Ints, made: Ints, sent: Ints,
    own_ptr: Ints, own: Ints, penalty: Floats, until: Floats, gained: Floats, least_s: Floats, a_shot: Floats,
    sizes: Ints, ready: Floats, scratch: Floats, need_rows: int, begins: Floats, by: Floats, marks: Ints,
) -> float:  # fmt: skip
    """Lateness no way to go on escapes: each batch alone waits for its own shots on the presses as they stand."""
    many = presses.shape[0]
    for p in range(many):
        moment = max(presses[p, w.FREE], since)
        k = presses[p, w.STRETCH]
        end = ints[ints[t.OPEN_PTR] + p + 1]
        while k < end and ints[ints[t.OPEN_END] + k] <= moment:
            k += 1
        usable = moment - ints[ints[t.OPEN_START] + k] - ints[ints[t.RESTART_S] + p] if k < end else 0
        scratch[0, p] = gained[k + p] + max(0, usable) if (shut >> p) & 1 == 0 else float(NEVER)
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
                        there = until[own[i, 2], k, p] - max(scratch[0, p], ready[p, r])
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
                    there = max(0.0, until[need_rows + b, k, p] - scratch[0, p])
                    free += there
                    could = could and there >= scratch[1, p] - scratch[2, p]
                if could and free >= total:
                    break
                k += 1
        # all its jobs from the first, then all but the first, and so on, one after the other
        ptr, work = ints[t.JOB_PTR], ints[t.JOB_WORK]
        for job in range(ints[ptr + b], ints[ptr + b + 1]):
            done = begins[n, job]
            for other in range(ints[ptr + b], ints[ptr + b + 1]):
                if begins[n, other] >= begins[n, job]:
                    done += ints[work + other]
            while k < marks[PICKUPS] and by[b, k] < done:
                k += 1
        sent[n, b] = k
        money += penalty[b, k]
        farthest = max(farthest, k)
    return float(money + penalty[sent.shape[1], farthest])
