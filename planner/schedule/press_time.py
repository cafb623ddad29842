"""When each lot runs: presses, tools, setters and materials, everything as early as RULES.md allows.

What competes for a setter, a tool or a material is served in order of its earliest start, then by press number.
"""

import numpy as np

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.jit import inner
from planner.schedule.press_start import next_start


@inner
def run_presses(
    ints: Ints,
    floats: Floats,
    seq: Ints,
    length: Ints,
    lots: Ints,
    pieces: Ints,
    used: Floats,
    totals: Floats,
    presses: Ints,
    tools: Ints,
    setters: Ints,
) -> bool:
    """Time the presses. seq (P, J): lots in order; length (P). False if the calendar or a material ends first.

    The rest: fields of a Timing, written in place; totals gets the cost lines of the presses.
    """
    _begin(ints, floats, used, totals, presses, tools, setters)
    total = 0
    for p in range(length.size):
        total += length[p]
    piece = 0
    for done in range(total):
        # Starts found earlier are lower bounds: what was taken since can only put them off. So look again at the
        # least of them until the least is fresh.
        best = -1
        while True:
            best = -1
            for p in range(length.size):
                if presses[p, w.DONE] < length[p]:
                    if presses[p, w.STALE] != 0:
                        lot = seq[p, presses[p, w.DONE]]
                        if not next_start(ints, floats, p, lot, presses, tools, setters, used):
                            return False
                        presses[p, w.STALE] = 0
                        presses[p, w.LOOKED] = done
                    if best < 0 or presses[p, w.BEGIN] < presses[best, w.BEGIN]:
                        best = p
            if presses[best, w.LOOKED] == done:
                break
            presses[best, w.STALE] = 1
        lot = seq[best, presses[best, w.DONE]]
        lots[done, w.ORDER] = lot
        now = change(ints, floats, best, lot, lots, used, totals, presses, tools, setters)
        piece = produce(ints, floats, best, lot, now, piece, lots, pieces, used, totals, presses)
        if piece < 0:
            return False
        # whichever press had the tool gives it up, and whoever waits for it looks again
        tool = ints[ints[t.RUN_TOOL] + ints[ints[t.LOT_RUN] + lot]]
        tools[tool, w.TOOL_FREE] = presses[best, w.FREE]
        for q in range(length.size):
            if q != best:
                if presses[q, w.TOOL] == tool:
                    presses[q, w.TOOL] = -1
                    presses[q, w.STALE] = 1
                elif presses[q, w.DONE] < length[q]:
                    waiting = ints[ints[t.LOT_RUN] + seq[q, presses[q, w.DONE]]]
                    if ints[ints[t.RUN_TOOL] + waiting] == tool:
                        presses[q, w.STALE] = 1
    return leftover(ints, floats, used, totals)


@inner
def _begin(ints: Ints, floats: Floats, used: Floats, totals: Floats, presses: Ints, tools: Ints, setters: Ints) -> None:
    """Everything as the maker says it is at the start."""
    for p in range(presses.shape[0]):
        presses[p, w.DONE] = 0
        presses[p, w.FREE] = 0
        presses[p, w.STRETCH] = ints[ints[t.OPEN_PTR] + p]
        presses[p, w.HOT] = -1
        presses[p, w.TOOL] = ints[ints[t.PRESS_TOOL] + p]
        presses[p, w.MELT] = ints[ints[t.PRESS_MELT] + 2 * p]
        presses[p, w.MELT_2] = ints[ints[t.PRESS_MELT] + 2 * p + 1]
        presses[p, w.STALE] = 1
    for tool in range(tools.shape[0]):
        tools[tool, w.TOOL_FREE] = 0
        tools[tool, w.TOOL_MELT] = -1
        tools[tool, w.TOOL_MELT_2] = -1
    for s in range(setters.size):
        setters[s] = 0
    for m in range(used.size):
        used[m] = 0.0
    for n in range(totals.size):
        totals[n] = 0.0


@inner
def change(
    ints: Ints,
    floats: Floats,
    p: int,
    lot: int,
    lots: Ints,
    used: Floats,
    totals: Floats,
    presses: Ints,
    tools: Ints,
    setters: Ints,
) -> int:
    """Carry out the changeover of press p's next lot, if it needs one; when it ends (starts, if none is needed)."""
    run = ints[ints[t.LOT_RUN] + lot]
    tool = ints[ints[t.RUN_TOOL] + run]
    melts = ints[t.MELT_RESIN + 1] - ints[t.MELT_RESIN]
    now = presses[p, w.BEGIN]
    changes = presses[p, w.CHANGE] >= 0
    cleaning = presses[p, w.CLEANING] if changes else 0
    lots[lot, w.WITH_COMPOUND] = cleaning
    if cleaning != 0:
        # with less compound left another press may have to purge with melt, which can be the quicker way
        for q in range(presses.shape[0]):
            presses[q, w.STALE] = 1
    lots[lot, w.PRESS] = p
    lots[lot, w.WHY] = presses[p, w.BECAUSE]
    lots[lot, w.CO_START] = NEVER
    lots[lot, w.CO_END] = NEVER
    if changes:
        seconds = presses[p, w.WARM_UP] + presses[p, w.CHANGE]
        lots[lot, w.CO_START] = now
        now += seconds
        lots[lot, w.CO_END] = now
        lots[lot, w.WARM] = presses[p, w.WARM_UP]
        lots[lot, w.FROM_TOOL] = presses[p, w.TOOL]
        lots[lot, w.MOUNTED] = 1 if presses[p, w.TOOL] != tool else 0
        chosen = 0
        for s in range(1, setters.size):
            if setters[s] < setters[chosen]:
                chosen = s
        setters[chosen] = now
        lots[lot, w.SETTER] = chosen
        totals[w.SETTER_COST] += seconds * floats[ints[t.SETTER_COST_S]]
        totals[w.PRESS_COST] += seconds * floats[ints[t.PRESS_COST_S] + p]
        presses[p, w.HOT] = presses[p, w.AT]
    for b in range(2):
        lots[lot, w.OLD_MELT + b] = -1
        lots[lot, w.OLD_HOT + b] = -1
        new = ints[ints[t.RUN_MELT] + 2 * run + b]
        if new < 0:
            continue
        shot_kg = floats[ints[t.SHOT_KG] + 2 * run + b]
        taken = ints[ints[t.LOT_SHOTS] + lot] * shot_kg
        if changes:
            kg = 0.0
            for place in range(2):
                # the barrel, then the hot runner behind it
                if place == 0:
                    old = presses[p, w.MELT + b]
                    pair = ((2 * p + b) * melts + old) * melts + new
                else:
                    old = tools[tool, w.TOOL_MELT + b] if ints[ints[t.HOT_RUNNER] + 2 * tool + b] != 0 else -1
                    pair = ((2 * tool + b) * melts + old) * melts + new
                if old < 0 or old == new:
                    continue
                lots[lot, (w.OLD_MELT if place == 0 else w.OLD_HOT) + b] = old
                if (cleaning >> (2 * place + b)) & 1 != 0:
                    asked = floats[ints[t.COMPOUND_KG if place == 0 else t.HOT_COMPOUND_KG] + pair]
                    used[ints[ints[t.COMPOUND]]] += asked
                    totals[w.PURGE_TOTAL_KG] += asked
                    totals[w.PURGE_COST] += asked * floats[ints[t.COMPOUND_COST_KG]]
                    kg += floats[ints[t.COMPOUND_RINSE_KG if place == 0 else t.HOT_RINSE_KG] + pair]
                else:
                    kg += floats[ints[t.PURGE_KG if place == 0 else t.HOT_KG] + pair]
            waste = floats[ints[t.WASTE_COST_KG] + new]
            totals[w.PURGE_TOTAL_KG] += kg
            totals[w.PURGE_COST] += kg * waste
            start_kg = ints[ints[t.STARTUP_SHOTS] + run] * shot_kg
            totals[w.STARTUP_TOTAL_KG] += start_kg
            totals[w.STARTUP_COST] += start_kg * waste
            taken += kg + start_kg
        _use(ints, floats, used, new, taken)
        presses[p, w.MELT + b] = new
        tools[tool, w.TOOL_MELT + b] = new
    presses[p, w.TOOL] = tool
    return int(now)


@inner
def produce(
    ints: Ints,
    floats: Floats,
    p: int,
    lot: int,
    now: int,
    piece: int,
    lots: Ints,
    pieces: Ints,
    used: Floats,
    totals: Floats,
    presses: Ints,
) -> int:
    """Mould the lot's shots stretch by stretch from `now`; the number of pieces so far, -1 if the calendar ends."""
    run = ints[ints[t.LOT_RUN] + lot]
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    at = p * runs + run
    opens, closes = ints[t.OPEN_START], ints[t.OPEN_END]
    last = ints[ints[t.OPEN_PTR] + p + 1]
    den = ints[ints[t.SHOT_DEN] + at]
    remaining = (ints[ints[t.LOT_SHOTS] + lot] * ints[ints[t.SHOT_NUM] + at] + den - 1) // den
    overhead = ints[ints[t.RESTART_S] + p] + ints[ints[t.STARTUP_S] + at]
    cost_s = floats[ints[t.PRESS_COST_S] + p]
    k = presses[p, w.AT]
    # cold: the stretch's first work is this production, or the changeover has used the stretch up
    restart = presses[p, w.HOT] != k or now >= ints[closes + k]
    lots[lot, w.FIRST_PIECE] = piece
    first = piece
    while True:
        opened = now
        if restart:
            while k < last and max(now, ints[opens + k]) + overhead >= ints[closes + k]:
                k += 1
            if k >= last:
                return -1
            opened = max(now, ints[opens + k])
            now = opened + overhead
            totals[w.PRESS_COST] += overhead * cost_s
            for b in range(2):
                melt = ints[ints[t.RUN_MELT] + 2 * run + b]
                if melt >= 0:
                    kg = ints[ints[t.STARTUP_SHOTS] + run] * floats[ints[t.SHOT_KG] + 2 * run + b]
                    totals[w.STARTUP_TOTAL_KG] += kg
                    totals[w.STARTUP_COST] += kg * floats[ints[t.WASTE_COST_KG] + melt]
                    _use(ints, floats, used, melt, kg)
        take = min(ints[closes + k] - now, remaining)
        if piece >= pieces.shape[0]:
            return -1
        pieces[piece, w.OPENED] = opened
        pieces[piece, w.BEGAN] = now
        pieces[piece, w.WORK] = take
        pieces[piece, w.RESTARTED] = 1 if restart else 0
        piece += 1
        totals[w.PRESS_COST] += take * cost_s
        remaining -= take
        now += take
        if remaining <= 0:
            break
        restart = True
        k += 1
    lots[lot, w.START] = pieces[first, w.BEGAN]
    lots[lot, w.PIECES] = piece - first
    lots[lot, w.END] = now
    presses[p, w.HOT] = k
    presses[p, w.STRETCH] = k
    presses[p, w.FREE] = now
    presses[p, w.DONE] += 1
    presses[p, w.STALE] = 1
    return piece


@inner
def _use(ints: Ints, floats: Floats, used: Floats, melt: int, kg: float) -> None:
    """Take kg of a melt: its resin and its masterbatch."""
    share = floats[ints[t.MELT_MASTER_SHARE] + melt]
    used[ints[ints[t.MELT_RESIN] + melt]] += kg * (1 - share)
    master = ints[ints[t.MELT_MASTER] + melt]
    if master >= 0:
        used[master] += kg * share


@inner
def leftover(ints: Ints, floats: Floats, used: Floats, totals: Floats) -> bool:
    """Money in what whole bags and minimum orders leave over. False if more is used than can ever be had."""
    money = 0.0
    for m in range(used.size):
        short = used[m] - floats[ints[t.MATERIAL_HAVE] + m]
        if short > 1e-6:
            if floats[ints[t.SUPPLY_KG] + ints[ints[t.SUPPLY_PTR] + m + 1] - 1] < np.inf:
                return False
            bag = floats[ints[t.BAG_KG] + m]
            order = np.ceil((max(short, floats[ints[t.MIN_ORDER_KG] + m]) - 1e-6) / bag) * bag
            kept = floats[ints[t.MATERIAL_REGRIND] + m]
            money += min(order, order - short + kept) * floats[ints[t.MATERIAL_PRICE] + m]
    totals[w.LEFTOVER] = money
    return True
