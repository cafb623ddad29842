"""How soon a press can begin its next lot, and what changeover it asks for, as RULES.md has it."""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.jit import inner


@inner
def next_start(
    ints: Ints, floats: Floats, p: int, lot: int, presses: Ints, tools: Ints, setters: Ints, used: Floats
) -> bool:
    """Earliest start of press p's next lot, written to its row of the presses' table; False if it can never start."""
    run = ints[ints[t.LOT_RUN] + lot]
    tool = ints[ints[t.RUN_TOOL] + run]
    runs, melts = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL], ints[t.MELT_RESIN + 1] - ints[t.MELT_RESIN]
    restart = ints[ints[t.RESTART_S] + p]
    startup = ints[ints[t.STARTUP_S] + p * runs + run]

    earliest = presses[p, w.FREE]
    because = w.BY_PRESS
    ready = ints[ints[t.TOOL_READY] + tool]
    if ready > earliest:
        earliest = ready
        because = w.BY_READY
    if tools[tool, w.TOOL_FREE] > earliest:
        earliest = tools[tool, w.TOOL_FREE]
        because = w.BY_TOOL

    needed = presses[p, w.TOOL] != tool
    seconds = ints[ints[t.MOUNT_S] + tool] if needed else 0
    purge_1 = 0.0
    purge_2 = 0.0
    compound = ints[ints[t.COMPOUND]]
    drawn = 0.0
    free = earliest
    cleaning = 0
    for b in range(2):
        new = ints[ints[t.RUN_MELT] + 2 * run + b]
        if new < 0:
            continue
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
            needed = True
            at = ((2 * p + b) * runs + run) * melts + old
            if compound >= 0:
                asked = floats[ints[t.COMPOUND_KG if place == 0 else t.HOT_COMPOUND_KG] + pair]
                if asked > 0:
                    there = supplied(ints, floats, compound, used[compound] + drawn + asked)
                    if there <= free or ints[ints[t.COMPOUND_ONLY if place == 0 else t.HOT_ONLY] + pair] != 0:
                        if there >= NEVER:
                            return False
                        if there > earliest:
                            earliest = there
                            because = w.BY_MATERIAL
                        drawn += asked
                        cleaning += 1 << (2 * place + b)
                        seconds += ints[ints[t.COMPOUND_S if place == 0 else t.HOT_COMPOUND_S] + at]
                        kg += floats[ints[t.COMPOUND_RINSE_KG if place == 0 else t.HOT_RINSE_KG] + pair]
                        continue
            seconds += ints[ints[t.PURGE_S if place == 0 else t.HOT_S] + at]
            kg += floats[ints[t.PURGE_KG if place == 0 else t.HOT_KG] + pair]
        if b == 0:
            purge_1 = kg
        else:
            purge_2 = kg
    presses[p, w.CLEANING] = cleaning

    shots = ints[ints[t.LOT_SHOTS] + lot]
    if needed:
        shots += ints[ints[t.STARTUP_SHOTS] + run]
    there = material_moment(ints, floats, used, run, shots, purge_1, purge_2)
    if there >= NEVER:
        return False
    if there > earliest:
        earliest = there
        because = w.BY_MATERIAL
    if needed:
        seconds += startup
        soonest = setters[0]
        for s in range(1, setters.size):
            soonest = min(soonest, setters[s])
        if soonest > earliest:
            earliest = soonest
            because = w.BY_SETTER

    opens, closes = ints[t.OPEN_START], ints[t.OPEN_END]
    k = presses[p, w.STRETCH]
    last = ints[ints[t.OPEN_PTR] + p + 1]
    hot = presses[p, w.HOT]
    start = earliest
    while k < last:
        start = max(earliest, ints[opens + k])
        end = ints[closes + k]
        if start < end:
            warm = 0 if hot == k else restart
            if needed:
                if start + warm + seconds <= end:
                    break
            elif hot == k or start + restart + startup < end:
                break
        k += 1
    if k >= last:
        return False
    presses[p, w.BEGIN] = start
    presses[p, w.AT] = k
    presses[p, w.WARM_UP] = 0 if hot == k else restart
    presses[p, w.CHANGE] = seconds if needed else -1
    presses[p, w.BECAUSE] = because if start == earliest else w.BY_HOURS
    return True


@inner
def material_moment(
    ints: Ints, floats: Floats, used: Floats, run: int, shots: int, purge_1: float, purge_2: float
) -> int:
    """When all the material of a run is there: what was used before, its own shots, and its purge (kg per barrel)."""
    moment = 0
    # materials of the run: resin and masterbatch of barrel 1, then of barrel 2, each with the kg asked of it
    for b in range(2):
        melt = ints[ints[t.RUN_MELT] + 2 * run + b]
        if melt < 0:
            continue
        for kind in range(2):
            material = ints[ints[t.MELT_RESIN] + melt] if kind == 0 else ints[ints[t.MELT_MASTER] + melt]
            if material < 0:
                continue
            own = 0.0
            for c in range(b + 1):
                other = ints[ints[t.RUN_MELT] + 2 * run + c]
                kg = shots * floats[ints[t.SHOT_KG] + 2 * run + c] + (purge_1 if c == 0 else purge_2)
                share = floats[ints[t.MELT_MASTER_SHARE] + other]
                if ints[ints[t.MELT_RESIN] + other] == material:
                    own += kg * (1 - share)
                if ints[ints[t.MELT_MASTER] + other] == material:
                    own += kg * share
            moment = max(moment, supplied(ints, floats, material, used[material] + own))
    return moment


@inner
def supplied(ints: Ints, floats: Floats, material: int, kg: float) -> int:
    """When `kg` of a material have come in all, dried and ready; NEVER where they never do."""
    for step in range(ints[ints[t.SUPPLY_PTR] + material], ints[ints[t.SUPPLY_PTR] + material + 1]):
        if floats[ints[t.SUPPLY_KG] + step] >= kg - 1e-9:
            return int(ints[ints[t.SUPPLY_T] + step])
    return NEVER
