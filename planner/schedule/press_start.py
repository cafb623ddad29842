"""How soon a press can begin its next lot, and what changeover it asks for, as RULES.md, R4, has it."""

from planner.schedule import timing as w
from planner.schedule.changeover import TO_CHOOSE, Held, changeover
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import inner
from planner.schedule.press_supply import clearing_moment, material_moment
from planner.schedule.timing import Timing


@inner
def held_by(timing: Timing, p: int, tool: int) -> Held:
    """Melts in press p's barrels and a tool's hot runners as they stand."""
    presses, tools = timing.presses, timing.tools
    return presses[p, w.MELT], presses[p, w.MELT_2], tools[tool, w.TOOL_MELT], tools[tool, w.TOOL_MELT_2]


@inner
def next_start(inst: Instance, timing: Timing, p: int, lot: int) -> bool:
    """Earliest start of press p's next lot, written to its row of the presses' table; False if it can never start."""
    presses, tools, setters = timing.presses, timing.tools, timing.setters
    run = inst.lot_run[lot]
    tool = inst.run_tool[run]
    restart = inst.restart_s[p]
    startup = inst.startup_s[p, run]

    earliest = presses[p, w.FREE]
    because = w.BY_PRESS
    ready = inst.tool_ready[tool]
    if ready > earliest:
        earliest = ready
        because = w.BY_READY
    if tools[tool, w.TOOL_FREE] > earliest:
        earliest = tools[tool, w.TOOL_FREE]
        because = w.BY_TOOL

    held = held_by(timing, p, tool)
    purged, seconds, cleaning, purge_1, purge_2, _, there, between_1, between_2 = changeover(
        inst, p, run, held, TO_CHOOSE, earliest, timing.used_kg
    )
    needed = purged or presses[p, w.TOOL] != tool
    if presses[p, w.TOOL] != tool:
        seconds += inst.mount_s[tool]
    presses[p, w.CLEANING] = cleaning

    shots = inst.lot_shots[lot]
    if needed:
        shots += inst.startup_shots[run]
    there = max(there, material_moment(inst, timing.used_kg, run, shots, purge_1, purge_2))
    if inst.bridging != 0 or inst.clearing != 0:
        more = clearing_moment(inst, timing.used_kg, p, run, shots, purge_1, purge_2, between_1, between_2)
        there = max(there, more)
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

    if inst.lot_release.size > 0 and inst.lot_release[lot] > earliest:
        earliest = inst.lot_release[lot]
        because = w.BY_HOURS

    opens, closes = inst.open_start, inst.open_end
    k = presses[p, w.STRETCH]
    last = inst.open_ptr[p + 1]
    hot = presses[p, w.HOT]
    closing = inst.closing_s[p, run]
    kept = closing + 1 if closing > 0 else 0  # what must not stand gets at least a second of production, then goes
    start = earliest
    while k < last:
        start = max(earliest, opens[k])
        hands = inst.hands_end[k]
        end = hands if closing > 0 else closes[k]
        if start < end:
            warm = 0 if hot == k else restart
            if needed:
                if start + warm + seconds + kept <= hands:
                    break
            elif (hot == k and start + closing < end) or (
                start + restart + startup + closing < end and start + restart + startup <= hands
            ):
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
