"""When each lot runs: presses, tools, setters and materials, everything as early as RULES.md allows.

What competes for a setter, a tool or a material is served in order of its earliest start, then by press number.
"""

import numba as nb
import numpy as np

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.tape import fpart, part

# Columns of the table of presses while their time runs.
STATE_COLUMNS = 12
DONE, FREE, STRETCH, HOT, TOOL, MELT, MELT_2, BEGIN, AT, WARM, CHANGE, BECAUSE = range(STATE_COLUMNS)


@nb.njit(cache=True)
def run_presses(
    ints: Ints, floats: Floats, seq: Ints, length: Ints, lots: Ints, pieces: Ints, used: Floats, totals: Floats
) -> bool:
    """Time the presses. seq (P, J): lots in order; length (P). False if the calendar or a material ends first."""
    open_start, open_end, open_ptr = part(ints, t.OPEN_START), part(ints, t.OPEN_END), part(ints, t.OPEN_PTR)
    restart_s, startup_s = part(ints, t.RESTART_S), part(ints, t.STARTUP_S)
    lot_run, lot_shots, run_tool = part(ints, t.LOT_RUN), part(ints, t.LOT_SHOTS), part(ints, t.RUN_TOOL)
    run_melt, startup_shots = part(ints, t.RUN_MELT), part(ints, t.STARTUP_SHOTS)
    shot_num, shot_den = part(ints, t.SHOT_NUM), part(ints, t.SHOT_DEN)
    melt_resin, melt_master, hot_runner = part(ints, t.MELT_RESIN), part(ints, t.MELT_MASTER), part(ints, t.HOT_RUNNER)
    share = fpart(ints, floats, t.MELT_MASTER_SHARE)
    press_cost_s, shot_kg = fpart(ints, floats, t.PRESS_COST_S), fpart(ints, floats, t.SHOT_KG)
    purge_kg, hot_kg = fpart(ints, floats, t.PURGE_KG), fpart(ints, floats, t.HOT_KG)
    waste_cost = fpart(ints, floats, t.WASTE_COST_KG)
    setter_cost_s = fpart(ints, floats, t.SETTER_COST_S)[0]
    first_tool, first_melt = part(ints, t.PRESS_TOOL), part(ints, t.PRESS_MELT)
    presses, runs, tools = length.size, run_tool.size, part(ints, t.MOUNT_S).size
    melts = melt_resin.size

    state = np.zeros((presses, STATE_COLUMNS), dtype=np.int64)
    for p in range(presses):
        state[p, STRETCH] = open_ptr[p]
        state[p, HOT] = -1
        state[p, TOOL] = first_tool[p]
        state[p, MELT] = first_melt[2 * p]
        state[p, MELT_2] = first_melt[2 * p + 1]
    stale = np.ones(presses, dtype=np.bool_)
    tool_free = np.zeros(tools, dtype=np.int64)
    tool_melt = np.full((tools, 2), -1, dtype=np.int64)
    setter_free = np.zeros(part(ints, t.SETTERS)[0], dtype=np.int64)
    used[:] = 0.0

    press_cost = setter_cost = purge_all = purge_cost = startup_all = startup_cost = 0.0
    piece = 0
    total = length.sum()
    for done in range(total):
        best = -1
        while True:
            best = -1
            for p in range(presses):
                if state[p, DONE] < length[p]:
                    if stale[p]:
                        lot = seq[p, state[p, DONE]]
                        if not next_start(ints, floats, p, lot, state[p], tool_free, tool_melt, setter_free, used):
                            return False
                        stale[p] = False
                    if best < 0 or state[p, BEGIN] < state[best, BEGIN]:
                        best = p
            # a setter or a material taken since may have put it off: look again, and take it if it stands
            was = state[best, BEGIN]
            lot = seq[best, state[best, DONE]]
            if not next_start(ints, floats, best, lot, state[best], tool_free, tool_melt, setter_free, used):
                return False
            if state[best, BEGIN] == was:
                break

        p = best
        lot = seq[p, state[p, DONE]]
        run = lot_run[lot]
        tool = run_tool[run]
        k = state[p, AT]
        now = state[p, BEGIN]
        row = lots[lot]
        row[w.PRESS] = p
        lots[done, w.ORDER] = lot
        row[w.WHY] = state[p, BECAUSE]
        row[w.FIRST_PIECE] = piece
        restart = False

        if state[p, CHANGE] >= 0:
            end = now + state[p, WARM] + state[p, CHANGE]
            row[w.CO_START] = now
            row[w.CO_END] = end
            row[w.WARM] = state[p, WARM]
            row[w.FROM_TOOL] = state[p, TOOL]
            row[w.MOUNTED] = 1 if state[p, TOOL] != tool else 0
            chosen = setter_free.argmin()
            setter_free[chosen] = end
            row[w.SETTER] = chosen
            setter_cost += (end - now) * setter_cost_s
            press_cost += (end - now) * press_cost_s[p]
            for b in range(2):
                row[w.OLD_MELT + b] = -1
                row[w.OLD_HOT + b] = -1
                new = run_melt[2 * run + b]
                if new < 0:
                    continue
                start_kg = startup_shots[run] * shot_kg[2 * run + b]
                kg = 0.0
                old = state[p, MELT + b]
                if old >= 0 and old != new:
                    row[w.OLD_MELT + b] = old
                    kg += purge_kg[((2 * p + b) * melts + old) * melts + new]
                old = tool_melt[tool, b]
                if hot_runner[2 * tool + b] and old >= 0 and old != new:
                    row[w.OLD_HOT + b] = old
                    kg += hot_kg[((2 * tool + b) * melts + old) * melts + new]
                purge_all += kg
                purge_cost += kg * waste_cost[new]
                startup_all += start_kg
                startup_cost += start_kg * waste_cost[new]
                use(used, melt_resin, melt_master, share, new, kg + start_kg)
            state[p, HOT] = k
            now = end
            restart = now >= open_end[k]
        else:
            row[w.CO_START] = NEVER
            row[w.CO_END] = NEVER
            restart = state[p, HOT] != k

        # whichever press has the tool gives it up; whoever waits for it must look again
        for q in range(presses):
            if q != p:
                if state[q, TOOL] == tool:
                    state[q, TOOL] = -1
                    stale[q] = True
                if state[q, DONE] < length[q] and run_tool[lot_run[seq[q, state[q, DONE]]]] == tool:
                    stale[q] = True
        state[p, TOOL] = tool
        for b in range(2):
            new = run_melt[2 * run + b]
            if new >= 0:
                state[p, MELT + b] = new
                tool_melt[tool, b] = new
                use(used, melt_resin, melt_master, share, new, lot_shots[lot] * shot_kg[2 * run + b])

        # production, stretch by stretch
        remaining = -(-lot_shots[lot] * shot_num[p * runs + run] // shot_den[p * runs + run])
        overhead = restart_s[p] + startup_s[p * runs + run]
        first = True
        last = open_ptr[p + 1]
        while True:
            opened = now
            if restart:
                while k < last and max(now, open_start[k]) + overhead >= open_end[k]:
                    k += 1
                if k >= last:
                    return False
                opened = max(now, open_start[k])
                now = opened + overhead
                press_cost += overhead * press_cost_s[p]
                for b in range(2):
                    new = run_melt[2 * run + b]
                    if new >= 0:
                        start_kg = startup_shots[run] * shot_kg[2 * run + b]
                        startup_all += start_kg
                        startup_cost += start_kg * waste_cost[new]
                        use(used, melt_resin, melt_master, share, new, start_kg)
            take = min(open_end[k] - now, remaining)
            if piece >= pieces.shape[0]:
                return False
            pieces[piece, w.OPENED] = opened
            pieces[piece, w.BEGAN] = now
            pieces[piece, w.WORK] = take
            pieces[piece, w.RESTARTED] = 1 if restart else 0
            piece += 1
            if first:
                row[w.START] = now
                first = False
            press_cost += take * press_cost_s[p]
            remaining -= take
            now += take
            if remaining <= 0:
                break
            restart = True
            k += 1
        row[w.PIECES] = piece - row[w.FIRST_PIECE]
        row[w.END] = now
        state[p, HOT] = k
        state[p, STRETCH] = k
        state[p, FREE] = now
        state[p, DONE] += 1
        tool_free[tool] = now
        stale[p] = True

    totals[w.PRESS_COST] = press_cost
    totals[w.SETTER_COST] = setter_cost
    totals[w.PURGE_COST] = purge_cost
    totals[w.STARTUP_COST] = startup_cost
    totals[w.PURGE_TOTAL_KG] = purge_all
    totals[w.STARTUP_TOTAL_KG] = startup_all
    return leftover(ints, floats, used, totals)


@nb.njit(cache=True)
def leftover(ints: Ints, floats: Floats, used: Floats, totals: Floats) -> bool:
    """Money in what whole bags and minimum orders leave over. False if more is used than can ever be had."""
    have, kept = fpart(ints, floats, t.MATERIAL_HAVE), fpart(ints, floats, t.MATERIAL_REGRIND)
    bag, least = fpart(ints, floats, t.BAG_KG), fpart(ints, floats, t.MIN_ORDER_KG)
    price, supply = fpart(ints, floats, t.MATERIAL_PRICE), fpart(ints, floats, t.SUPPLY_KG)
    supply_ptr = part(ints, t.SUPPLY_PTR)
    money = 0.0
    for m in range(used.size):
        short = used[m] - have[m]
        if short > 1e-6:
            if supply[supply_ptr[m + 1] - 1] < np.inf:
                return False
            order = np.ceil((max(short, least[m]) - 1e-6) / bag[m]) * bag[m]
            money += min(order, order - short + kept[m]) * price[m]
    totals[w.LEFTOVER] = money
    return True


@nb.njit(cache=True)
def use(used: Floats, melt_resin: Ints, melt_master: Ints, share: Floats, melt: int, kg: float) -> None:
    """Take kg of a melt: its resin and its masterbatch."""
    used[melt_resin[melt]] += kg * (1 - share[melt])
    if melt_master[melt] >= 0:
        used[melt_master[melt]] += kg * share[melt]


@nb.njit(cache=True)
def next_start(
    ints: Ints,
    floats: Floats,
    p: int,
    lot: int,
    press: Ints,
    tool_free: Ints,
    tool_melt: Ints,
    setter_free: Ints,
    used: Floats,
) -> bool:
    """Earliest start of press p's next lot, written to its row `press` of the state; False if it can never start."""
    run_tool, run_melt = part(ints, t.RUN_TOOL), part(ints, t.RUN_MELT)
    purge_s, hot_s = part(ints, t.PURGE_S), part(ints, t.HOT_S)
    purge_kg, hot_kg = fpart(ints, floats, t.PURGE_KG), fpart(ints, floats, t.HOT_KG)
    open_start, open_end = part(ints, t.OPEN_START), part(ints, t.OPEN_END)
    hot_runner = part(ints, t.HOT_RUNNER)
    run = part(ints, t.LOT_RUN)[lot]
    tool = run_tool[run]
    runs, melts = run_tool.size, part(ints, t.MELT_RESIN).size
    restart = part(ints, t.RESTART_S)[p]
    startup = part(ints, t.STARTUP_S)[p * runs + run]

    needed = press[TOOL] != tool
    seconds = part(ints, t.MOUNT_S)[tool] if needed else 0
    extra0 = 0.0
    extra1 = 0.0
    for b in range(2):
        new = run_melt[2 * run + b]
        if new < 0:
            continue
        kg = 0.0
        old = press[MELT + b]
        if old >= 0 and old != new:
            needed = True
            seconds += purge_s[((2 * p + b) * runs + run) * melts + old]
            kg += purge_kg[((2 * p + b) * melts + old) * melts + new]
        old = tool_melt[tool, b]
        if hot_runner[2 * tool + b] and old >= 0 and old != new:
            needed = True
            seconds += hot_s[((2 * p + b) * runs + run) * melts + old]
            kg += hot_kg[((2 * tool + b) * melts + old) * melts + new]
        if b == 0:
            extra0 = kg
        else:
            extra1 = kg

    earliest = press[FREE]
    because = w.BY_PRESS
    if part(ints, t.TOOL_READY)[tool] > earliest:
        earliest = part(ints, t.TOOL_READY)[tool]
        because = w.BY_READY
    if tool_free[tool] > earliest:
        earliest = tool_free[tool]
        because = w.BY_TOOL
    shots = part(ints, t.LOT_SHOTS)[lot]
    if needed:
        shots += part(ints, t.STARTUP_SHOTS)[run]
    there = material_moment(ints, floats, used, run, shots, extra0, extra1)
    if there >= NEVER:
        return False
    if there > earliest:
        earliest = there
        because = w.BY_MATERIAL
    if needed:
        seconds += startup
        soonest = setter_free.min()
        if soonest > earliest:
            earliest = soonest
            because = w.BY_SETTER

    k = press[STRETCH]
    last = part(ints, t.OPEN_PTR)[p + 1]
    while k < last:
        start = max(earliest, open_start[k])
        if start < open_end[k]:
            warm = 0 if press[HOT] == k else restart
            if needed:
                if start + warm + seconds <= open_end[k]:
                    break
            elif press[HOT] == k or start + restart + startup < open_end[k]:
                break
        k += 1
    if k >= last:
        return False
    press[BEGIN] = max(earliest, open_start[k])
    press[AT] = k
    press[WARM] = 0 if press[HOT] == k else restart
    press[CHANGE] = seconds if needed else -1
    press[BECAUSE] = because if press[BEGIN] == earliest else w.BY_HOURS
    return True


@nb.njit(cache=True)
def material_moment(
    ints: Ints, floats: Floats, used: Floats, run: int, shots: int, extra0: float, extra1: float
) -> int:
    """When all the material of a run is there: what was used before, its own shots, and its purge (kg per barrel)."""
    run_melt, melt_resin, melt_master = part(ints, t.RUN_MELT), part(ints, t.MELT_RESIN), part(ints, t.MELT_MASTER)
    shot_kg, share = fpart(ints, floats, t.SHOT_KG), fpart(ints, floats, t.MELT_MASTER_SHARE)
    supply_ptr, supply_t, supply_kg = (
        part(ints, t.SUPPLY_PTR),
        part(ints, t.SUPPLY_T),
        fpart(ints, floats, t.SUPPLY_KG),
    )
    moment = 0
    # materials of the run: resin and masterbatch of barrel 1, then of barrel 2, each with the kg asked of it
    for b in range(2):
        melt = run_melt[2 * run + b]
        if melt < 0:
            continue
        for kind in range(2):
            material = melt_resin[melt] if kind == 0 else melt_master[melt]
            if material < 0:
                continue
            own = 0.0
            for c in range(b + 1):
                other = run_melt[2 * run + c]
                kg = shots * shot_kg[2 * run + c] + (extra0 if c == 0 else extra1)
                if melt_resin[other] == material:
                    own += kg * (1 - share[other])
                if melt_master[other] == material:
                    own += kg * share[other]
            want = used[material] + own - 1e-9
            there = NEVER
            for step in range(supply_ptr[material], supply_ptr[material + 1]):
                if supply_kg[step] >= want:
                    there = supply_t[step]
                    break
            moment = max(moment, there)
    return moment
