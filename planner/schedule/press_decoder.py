"""When each lot runs: presses, tools, setters and materials, everything as early as RULES.md allows.

What competes for a setter, a tool or a material is served in order of its earliest start, then by press number.
"""

import numpy as np

from planner.schedule import timing as w
from planner.schedule.changeover import Held, changeover, to_purge
from planner.schedule.instance import NEVER, Floats, Instance
from planner.schedule.jit import inner
from planner.schedule.press_charges import charge_changeover, charge_shots, charge_work, close_bill
from planner.schedule.press_dryers import draw, drawn_until
from planner.schedule.press_moulding_over import takes_over
from planner.schedule.press_operators import keep_operators, worked_until
from planner.schedule.press_start import before_others, fits_after, held_by, next_start, setters_of, still_holds
from planner.schedule.press_wishes import begin_wishes, count_broken, held_back, lot_done
from planner.schedule.sequences import Sequences
from planner.schedule.stability import price_of_runs
from planner.schedule.timing import Timing


@inner
def run_presses(inst: Instance, plan: Sequences, timing: Timing) -> bool:
    """Time the presses. False if the calendar or a material ends first. Totals get the cost lines of the presses."""
    seq, length, presses = plan.seq, plan.length, timing.presses
    _begin(inst, timing)
    if inst.wishing != 0:
        begin_wishes(inst, plan, timing)
    total = 0
    for p in range(length.size):
        total += length[p]
    piece = done = 0
    while total > 0:
        # Starts found earlier are lower bounds: what was taken since can only put them off. So look again at the
        # least of them until the least is fresh.
        best = -1
        while True:
            best = -1
            for p in range(length.size):
                if presses[p, w.DONE] < length[p]:
                    if inst.wishing != 0 and held_back(inst, timing, p, seq[p, presses[p, w.DONE]]):
                        continue
                    if presses[p, w.STALE] != 0:
                        if inst.likely_begin.size > 0:
                            take_ready(inst, plan, timing, p)
                        lot = seq[p, presses[p, w.DONE]]
                        if not next_start(inst, timing, p, lot):
                            return False
                        presses[p, w.STALE] = 0
                        presses[p, w.LOOKED] = done
                    if best < 0 or presses[p, w.BEGIN] < presses[best, w.BEGIN]:
                        best = p
            if best < 0 and inst.wish_cost == 0.0:  # a scenario
                best = take_unheld(inst, plan, timing)
                if best >= 0:
                    continue
            if best < 0:  # each press waits for another: one goes on against the wish
                best = 0
                while presses[best, w.DONE] >= length[best]:
                    best += 1
                timing.totals[w.BROKEN] += 1.0
                if not next_start(inst, timing, best, seq[best, presses[best, w.DONE]]):
                    return False
                break
            if presses[best, w.LOOKED] == done or still_holds(inst, timing, best, seq[best, presses[best, w.DONE]]):
                break
            presses[best, w.STALE] = 1
        lot = seq[best, presses[best, w.DONE]]
        row = presses[best, w.ROW]
        timing.lots[done, w.ORDER] = lot if row < 0 else row
        done += 1
        now = change(inst, timing, best, lot)
        piece = produce(inst, timing, best, lot, now, piece)
        if piece < 0:
            return False
        timing.rows[1] = done
        if presses[best, w.ROW] < 0:
            total -= 1
            if inst.wishing != 0:
                lot_done(inst, timing, inst.lot_run[lot], presses[best, w.FREE])
        # whichever press had the tool or its base gives it up, and whoever waits for it looks again
        base = give_up(inst, timing, best, inst.run_tool[inst.lot_run[lot]])
        for q in range(length.size):
            if q != best and presses[q, w.DONE] < length[q]:
                waiting = inst.lot_run[seq[q, presses[q, w.DONE]]]
                if inst.tool_base[inst.run_tool[waiting]] == base:
                    presses[q, w.STALE] = 1
    if done < timing.lots.shape[0]:
        timing.lots[done, w.ORDER] = -1
    if inst.announced != 0:
        timing.totals[w.MOVED_RUNS] = price_of_runs(inst, plan)
    if inst.charging != 0:
        for p in range(length.size):
            close_bill(inst, timing, p)
    if inst.wishing != 0:
        count_broken(inst, plan, timing)
    return leftover(inst, timing)


@inner
def give_up(inst: Instance, timing: Timing, p: int, tool: int) -> int:
    """Press p has a tool until it is free: no other press holds it, or another insert of its base, any more. Its
    base."""
    base = inst.tool_base[tool]
    timing.tools[base, w.TOOL_FREE] = timing.presses[p, w.FREE]
    for q in range(timing.presses.shape[0]):
        other = timing.presses[q, w.TOOL]
        if q != p and other >= 0 and inst.tool_base[other] == base:
            timing.presses[q, w.TOOL] = -1
            timing.presses[q, w.STALE] = 1
    return int(base)


@inner
def take_ready(inst: Instance, plan: Sequences, timing: Timing, p: int) -> None:
    """Where the tool of press p's next lot is later than planned, put the first lot whose tool is there in its place.

    The press is free, and the moment has come at which the lot should have begun: what is not there by then is late,
    and nothing else of what will come is known. Where no tool is there, the press waits for whichever comes first. What
    is held back by runs that have no place yet is not taken.
    """
    n, seq, ready = timing.presses[p, w.DONE], plan.seq, inst.tool_ready
    if n < inst.pinned[p] or timing.presses[p, w.ROW] >= 0:  # fixed by the maker, or begun and broken off
        return
    lot = seq[p, n]
    now = max(timing.presses[p, w.FREE], inst.likely_begin[lot])
    soonest = ready[inst.run_tool[inst.lot_run[lot]]]
    chosen = n
    for m in range(n + 1, plan.length[p]):
        if soonest <= now:
            break
        there = ready[inst.run_tool[inst.lot_run[seq[p, m]]]]
        if there < soonest and not (inst.wishing != 0 and held_back(inst, timing, p, seq[p, m])):
            soonest = there
            chosen = m
    if chosen == n:
        return
    lot = seq[p, chosen]
    _put_ahead(plan, p, chosen, n)
    inst.lot_release[lot] = max(inst.lot_release[lot], now)  # nobody knew before that it would be taken


@inner
def take_unheld(inst: Instance, plan: Sequences, timing: Timing) -> int:
    """Where each press's next lot is held back by lots without a place, as other presses took what it is moulded over,
    let the first press go on with the first of its later lots that is not; that press, -1: there is none."""
    for p in range(plan.length.size):
        if timing.presses[p, w.ROW] >= 0:
            continue
        n = timing.presses[p, w.DONE]
        for m in range(n + 1, plan.length[p]):
            if not held_back(inst, timing, p, plan.seq[p, m]):
                _put_ahead(plan, p, m, n)
                timing.presses[p, w.STALE] = 1
                return p
    return -1


@inner
def _put_ahead(plan: Sequences, p: int, m: int, n: int) -> None:
    """Move the m-th lot of press p to the n-th place, before those it passes."""
    lot = plan.seq[p, m]
    for at in range(m, n, -1):
        plan.seq[p, at] = plan.seq[p, at - 1]
    plan.seq[p, n] = lot


@inner
def _begin(inst: Instance, timing: Timing) -> None:
    """Everything as the maker says it is at the start."""
    presses, tools = timing.presses, timing.tools
    for p in range(presses.shape[0]):
        presses[p, w.DONE] = 0
        presses[p, w.FREE] = 0
        presses[p, w.STRETCH] = inst.open_ptr[p]
        presses[p, w.HOT] = -1
        presses[p, w.TOOL] = inst.press_tool[p]
        presses[p, w.MELT] = inst.press_melt[p, 0]
        presses[p, w.MELT_2] = inst.press_melt[p, 1]
        presses[p, w.STALE] = 1
        presses[p, w.SINCE] = -1
        presses[p, w.ROW] = -1
        presses[p, w.PAID_STRETCH] = -1
        timing.bills[p] = 0.0
    for tool in range(tools.shape[0]):
        tools[tool, w.TOOL_FREE] = 0
        tools[tool, w.TOOL_MELT] = inst.tool_melt[tool, 0]
        tools[tool, w.TOOL_MELT_2] = inst.tool_melt[tool, 1]
    for row in range(inst.lot_run.size, timing.rows[0]):  # those of what was broken off last time
        timing.lots[row, w.END] = 0
    timing.rows[0] = inst.lot_run.size
    timing.rows[1] = 0
    for g in range(timing.into_moulds.size):
        timing.into_moulds[g] = 0
    for s in range(timing.setters.size):
        timing.setters[s] = 0
    for s in range(timing.operators.size):
        timing.operators[s] = 0
    for d in range(timing.dryers.shape[0]):
        timing.dryers[d, w.DRIES] = -1
        timing.dryers[d, w.LAST_DRAW] = 0
        timing.dryers[d, w.DRAWS] = 0
    for m in range(timing.used_kg.size):
        timing.used_kg[m] = 0.0
    for n in range(timing.totals.size):
        timing.totals[n] = 0.0


@inner
def change(inst: Instance, timing: Timing, p: int, lot: int) -> int:
    """Carry out the changeover of press p's next lot, if it needs one; when it ends (starts, if none is needed).

    Settles how many of its shots are made before others work on the press, and takes their material.
    """
    lots, presses, tools, totals = timing.lots, timing.presses, timing.tools, timing.totals
    run = inst.lot_run[lot]
    tool = inst.run_tool[run]
    row = lot if presses[p, w.ROW] < 0 else presses[p, w.ROW]
    if inst.sharing != 0 and inst.since_others[presses[p, w.AT]] != presses[p, w.SINCE]:
        since = inst.since_others[presses[p, w.AT]]
        presses[p, w.SINCE] = since
        presses[p, w.TOOL] = -1
        presses[p, w.MELT] = inst.others_left[since, 0]
        presses[p, w.MELT_2] = inst.others_left[since, 1]
    now = presses[p, w.BEGIN]
    changes = presses[p, w.CHANGE] >= 0
    cleaning = presses[p, w.CLEANING] if changes else 0
    lots[row, w.WITH_COMPOUND] = cleaning
    if cleaning != 0:
        # with less compound left another press may have to purge with melt, which can be the quicker way
        for q in range(presses.shape[0]):
            presses[q, w.STALE] = 1
    lots[row, w.LOT] = lot
    lots[row, w.PRESS] = p
    lots[row, w.WHY] = presses[p, w.BECAUSE]
    lots[row, w.CO_START] = NEVER
    lots[row, w.CO_END] = NEVER
    held = held_by(timing, p, tool)
    purge = 0.0, 0.0
    if changes:
        now, purge = _changed_over(inst, timing, p, row, held)
    own = inst.lot_shots[lot] if row == lot else presses[p, w.LEFT]
    shots = own
    if inst.sharing != 0:
        k = presses[p, w.AT]
        closing = inst.closing_s[p, run]
        end = worked_until(inst, k, run, closing)
        shots = before_others(inst, p, run, own, k, now, presses[p, w.HOT] != k or now + closing >= end)
    lots[row, w.SHOTS] = shots
    if row == lot and inst.over_good.size > 0:
        takes_over(inst, timing, run, own)
    if inst.charging != 0:
        charge_shots(inst, timing, p, run, shots)
    presses[p, w.LEFT] = own - shots
    for b in range(2):
        lots[row, w.OLD_MELT + b] = to_purge(inst, run, held, 0, b)
        lots[row, w.OLD_HOT + b] = to_purge(inst, run, held, 1, b)
        new = inst.run_melt[run, b]
        if new < 0:
            continue
        shot_kg = inst.shot_kg[run, b]
        taken = shots * shot_kg
        if changes:
            kg = purge[0] if b == 0 else purge[1]
            waste = inst.waste_cost_kg[new]
            totals[w.PURGE_TOTAL_KG] += kg
            totals[w.PURGE_COST] += kg * waste
            start_kg = inst.startup_shots[run] * shot_kg
            totals[w.STARTUP_TOTAL_KG] += start_kg
            totals[w.STARTUP_COST] += start_kg * waste
            taken += kg + start_kg
        _use(inst, timing.used_kg, new, taken)
        # what must not stand is cleared at the end of the run
        presses[p, w.MELT + b] = inst.left_melt[run, b]
        tools[tool, w.TOOL_MELT + b] = inst.left_melt[run, b]
    presses[p, w.TOOL] = tool
    if inst.dryers != 0:
        draw(inst, timing, p, run, shots, (presses[p, w.BEGIN], now), purge)
    return int(now)


@inner
def _changed_over(inst: Instance, timing: Timing, p: int, row: int, held: Held) -> tuple[int, tuple[float, float]]:
    """Change press p over, its time and all but melt paid; when that ends, and kg of melt for each barrel's purge."""
    lots, presses, totals = timing.lots, timing.presses, timing.totals
    run = inst.lot_run[lots[row, w.LOT]]
    mounts = presses[p, w.TOOL] != inst.run_tool[run]
    seconds = presses[p, w.WARM_UP] + presses[p, w.CHANGE]
    begin = presses[p, w.BEGIN]
    now = begin + seconds
    lots[row, w.CO_START] = begin
    lots[row, w.CO_END] = now
    lots[row, w.WARM] = presses[p, w.WARM_UP]
    lots[row, w.FROM_TOOL] = presses[p, w.TOOL]
    lots[row, w.MOUNTED] = 1 if mounts else 0
    _take_setter(inst, timing, p, row, now)
    totals[w.SETTER_COST] += seconds * inst.setter_cost_s[p]
    totals[w.PRESS_COST] += seconds * inst.press_cost_s[p]
    presses[p, w.HOT] = presses[p, w.AT]
    if inst.compound < 0 and inst.bridging == 0 and inst.charging == 0:
        return now, (timing.purges[p, 0], timing.purges[p, 1])
    # more than kilograms of melt is asked for
    purged, _, _, purge_1, purge_2, compound_kg, _, between_1, between_2 = changeover(
        inst, p, run, held, lots[row, w.WITH_COMPOUND], 0, timing.used_kg
    )
    if inst.charging != 0:
        charge_changeover(inst, timing, p, seconds, purged, mounts)
        charge_work(inst, timing, p, presses[p, w.AT], begin, now)
    for between, kg in (between_1, between_2):
        if between >= 0:
            timing.used_kg[between] += kg
            totals[w.PURGE_TOTAL_KG] += kg
            totals[w.PURGE_COST] += kg * inst.clearing_cost_kg[between]
    if compound_kg > 0.0:
        timing.used_kg[inst.compound] += compound_kg
        totals[w.PURGE_TOTAL_KG] += compound_kg
        totals[w.PURGE_COST] += compound_kg * inst.compound_cost_kg
    return now, (purge_1, purge_2)


@inner
def _take_setter(inst: Instance, timing: Timing, p: int, row: int, until: int) -> None:
    """Of the setters of its place, who is free first changes press p over."""
    first, last = setters_of(inst, timing, p)
    chosen = first
    for s in range(first + 1, last):
        if timing.setters[s] < timing.setters[chosen]:
            chosen = s
    timing.setters[chosen] = until
    timing.lots[row, w.SETTER] = chosen


@inner
def produce(inst: Instance, timing: Timing, p: int, lot: int, now: int, piece: int) -> int:
    """Mould the lot's shots stretch by stretch from `now`, as many as `change` settled; the number of pieces so far, -1
    if the calendar ends."""
    lots, pieces, presses, totals = timing.lots, timing.pieces, timing.presses, timing.totals
    run = inst.lot_run[lot]
    row = lot if presses[p, w.ROW] < 0 else presses[p, w.ROW]
    opens, last = inst.open_start, inst.open_ptr[p + 1]
    den = inst.shot_den[p, run]
    remaining = (lots[row, w.SHOTS] * inst.shot_num[p, run] + den - 1) // den
    overhead = inst.restart_s[p] + inst.startup_s[p, run]
    closing = inst.closing_s[p, run]
    cleared = False  # whether its melt was cleared at a closing, and has to come back
    cost_s = inst.press_cost_s[p]
    k = presses[p, w.AT]
    # cold: the stretch's first work is this production, or the changeover has used the stretch up
    restart = presses[p, w.HOT] != k or now + closing >= worked_until(inst, k, run, closing)
    lots[row, w.FIRST_PIECE] = piece
    first = piece
    while True:
        opened = now
        if restart:
            again = inst.opening_s[p, run] if cleared else 0
            while k < last and not fits_after(inst, k, run, max(now, opens[k]) + overhead + again, closing):
                k += 1
            if k >= last:
                return -1
            opened = max(now, opens[k])
            now = opened + overhead + again
            totals[w.PRESS_COST] += (overhead + again) * cost_s
            _start_again(inst, timing, p, run, cleared)
        take = min(worked_until(inst, k, run, closing) - closing - now, remaining)
        if piece >= pieces.shape[0]:
            return -1
        pieces[piece, w.OPENED] = opened
        pieces[piece, w.BEGAN] = now
        pieces[piece, w.WORK] = take
        pieces[piece, w.RESTARTED] = 1 if restart else 0
        pieces[piece, w.CLOSING] = closing
        piece += 1
        totals[w.PRESS_COST] += (take + closing) * cost_s
        if inst.tended != 0:
            totals[w.PRESS_COST] += take * inst.tending_cost_s[p, run]
        remaining -= take
        now += take + closing
        if inst.charging != 0:
            timing.bills[p] += (now - opened) * cost_s
            if inst.tended != 0:
                timing.bills[p] += take * inst.tending_cost_s[p, run]
            charge_work(inst, timing, p, k, opened, now)
        if inst.clearing != 0:
            for b in range(2):
                left = inst.left_melt[run, b]
                if left != inst.run_melt[run, b]:
                    _purge(inst, timing, left, inst.closing_kg[p, run, b])
                    cleared = True
        if remaining <= 0:
            break
        restart = True
        k += 1
    lots[row, w.START] = pieces[first, w.BEGAN]
    lots[row, w.PIECES] = piece - first
    lots[row, w.END] = now
    lots[lot, w.END] = now
    if inst.dryers != 0:
        drawn_until(inst, timing, run, now)
    keep_operators(inst, timing, p, run, now)
    presses[p, w.HOT] = k
    presses[p, w.STRETCH] = k
    presses[p, w.FREE] = now
    presses[p, w.STALE] = 1
    if presses[p, w.LEFT] == 0:
        presses[p, w.ROW] = -1
        presses[p, w.DONE] += 1
    elif timing.rows[0] < lots.shape[0]:  # the rest is a run of its own, after others' work
        presses[p, w.ROW] = timing.rows[0]
        timing.rows[0] += 1
    else:
        return -1
    return piece


@inner
def _start_again(inst: Instance, timing: Timing, p: int, run: int, cleared: bool) -> None:
    """Start-up shots after a restart and, where the melt was cleared at the closing, the purge that brings it back."""
    for b in range(2):
        melt = inst.run_melt[run, b]
        if melt >= 0:
            kg = inst.startup_shots[run] * inst.shot_kg[run, b]
            timing.totals[w.STARTUP_TOTAL_KG] += kg
            timing.totals[w.STARTUP_COST] += kg * inst.waste_cost_kg[melt]
            _use(inst, timing.used_kg, melt, kg)
            if cleared:
                _purge(inst, timing, melt, inst.opening_kg[p, run, b])


@inner
def _purge(inst: Instance, timing: Timing, melt: int, kg: float) -> None:
    """Shoot kg of a melt to waste."""
    timing.totals[w.PURGE_TOTAL_KG] += kg
    timing.totals[w.PURGE_COST] += kg * inst.waste_cost_kg[melt]
    _use(inst, timing.used_kg, melt, kg)


@inner
def _use(inst: Instance, used: Floats, melt: int, kg: float) -> None:
    """Take kg of a melt: its resin and its masterbatch."""
    share = inst.melt_master_share[melt]
    used[inst.melt_resin[melt]] += kg * (1 - share)
    master = inst.melt_master[melt]
    if master >= 0:
        used[master] += kg * share


@inner
def leftover(inst: Instance, timing: Timing) -> bool:
    """Money in what whole bags and minimum orders leave over. False if more is used than can ever be had."""
    used = timing.used_kg
    money = 0.0
    for m in range(used.size):
        short = used[m] - inst.material_have[m]
        if short > 1e-6:
            if inst.supply_kg[inst.supply_ptr[m + 1] - 1] < np.inf:
                return False
            bag = inst.bag_kg[m]
            order = np.ceil((max(short, inst.min_order_kg[m]) - 1e-6) / bag) * bag
            kept = inst.material_regrind[m]
            money += min(order, order - short + kept) * inst.material_price[m]
    timing.totals[w.LEFTOVER] = money
    return True
