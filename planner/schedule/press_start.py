"""How soon a press can begin its next lot, and what changeover it asks for, as RULES.md, R4, has it."""

from planner.schedule import timing as w
from planner.schedule.changeover import TO_CHOOSE, Held, changeover, mounting
from planner.schedule.instance import NEVER, Instance
from planner.schedule.jit import inner
from planner.schedule.press_dryers import dryer_moment
from planner.schedule.press_operators import operators_free, worked_until
from planner.schedule.press_supply import clearing_moment, material_moment
from planner.schedule.press_wishes import wished_moment
from planner.schedule.timing import Timing


@inner
def held_by(timing: Timing, p: int, tool: int) -> Held:
    """Melts in press p's barrels and a tool's hot runners as they stand."""
    presses, tools = timing.presses, timing.tools
    return presses[p, w.MELT], presses[p, w.MELT_2], tools[tool, w.TOOL_MELT], tools[tool, w.TOOL_MELT_2]


@inner
def setters_of(inst: Instance, timing: Timing, p: int) -> tuple[int, int]:
    """The first of the setters who set press p up, and behind the last."""
    if inst.elsewhere == 0:
        return 0, timing.setters.size
    return inst.setter_first[p], inst.setter_last[p]


@inner
def setter_free(inst: Instance, timing: Timing, p: int) -> int:
    """When the first of the setters who set press p up is free."""
    first, behind = setters_of(inst, timing, p)
    soonest = timing.setters[first]
    for s in range(first + 1, behind):
        soonest = min(soonest, timing.setters[s])
    return int(soonest)


@inner
def next_start(inst: Instance, timing: Timing, p: int, lot: int) -> bool:
    """Earliest start of press p's next lot, written to its row of the presses' table; False if it can never start."""
    presses, tools = timing.presses, timing.tools
    tool = inst.run_tool[inst.lot_run[lot]]
    k = presses[p, w.STRETCH]
    last = inst.open_ptr[p + 1]
    held = held_by(timing, p, tool)
    if inst.sharing == 0:
        return _start_within(inst, timing, p, lot, k, last, presses[p, w.TOOL], held)
    earliest = max(presses[p, w.FREE], inst.tool_ready[tool], tools[inst.tool_base[tool], w.TOOL_FREE])
    while k < last:
        since = inst.since_others[k]
        until = k + 1
        while until < last and inst.since_others[until] == since:
            until += 1
        if inst.open_end[until - 1] > earliest:
            mounted = presses[p, w.TOOL]
            here = held
            if since != presses[p, w.SINCE]:
                mounted = -1
                here = inst.others_left[since, 0], inst.others_left[since, 1], held[2], held[3]
            if _start_within(inst, timing, p, lot, k, until, mounted, here):
                return True
        k = until
    return False


@inner
def still_holds(inst: Instance, timing: Timing, p: int, lot: int) -> bool:
    """Whether press p's next lot begins when `next_start` last found, whatever setters, operators and materials others
    took since.

    Said only where nothing else could put it off, and all of these are there before it begins: then they were not what
    it waited for, nor are now. Its tool and its press speak for themselves (STALE).
    """
    if inst.compound >= 0 or inst.bridging != 0 or inst.clearing != 0 or inst.dryers != 0:
        return False
    if inst.sharing != 0 or inst.wishing != 0 or inst.likely_begin.size > 0:
        return False
    begin, run = timing.presses[p, w.BEGIN], inst.lot_run[lot]
    shots = inst.lot_shots[lot]  # the whole lot: what breaks lots off is left out above
    if timing.presses[p, w.CHANGE] >= 0:
        shots += inst.startup_shots[run]
        if setter_free(inst, timing, p) >= begin:
            return False
    if inst.operators > 0 and operators_free(inst, timing, p, run) >= begin:
        return False
    purge = (timing.purges[p, 0], timing.purges[p, 1])
    return bool(material_moment(inst, timing.used_kg, run, shots, purge) < begin)


@inner
def _start_within(
    inst: Instance, timing: Timing, p: int, lot: int, k: int, last: int, mounted: int, held: Held
) -> bool:
    """The same within stretches k to last, which nobody else works between, with a tool in the press and melts held."""
    presses = timing.presses
    run = inst.lot_run[lot]
    tool = inst.run_tool[run]
    earliest, because = _tool_there(inst, timing, p, tool)
    purged, seconds, cleaning, purge_1, purge_2, _, there, between_1, between_2 = changeover(
        inst, p, run, held, TO_CHOOSE, earliest, timing.used_kg
    )
    purge = (purge_1, purge_2)
    needed = purged or mounted != tool
    seconds += mounting(inst, mounted, tool)
    presses[p, w.CLEANING] = cleaning
    timing.purges[p, 0], timing.purges[p, 1] = purge_1, purge_2

    own = inst.lot_shots[lot] if presses[p, w.ROW] < 0 else presses[p, w.LEFT]
    shots = own + inst.startup_shots[run] if needed else own
    there = max(there, material_moment(inst, timing.used_kg, run, shots, purge))
    if inst.bridging != 0 or inst.clearing != 0:
        more = clearing_moment(inst, timing.used_kg, p, run, shots, purge, (between_1, between_2))
        there = max(there, more)
    if there >= NEVER:
        return False
    if there > earliest:
        earliest = there
        because = w.BY_MATERIAL
    if inst.dryers != 0:
        dried = dryer_moment(inst, timing, p, run, own, purge, earliest)
        if dried >= NEVER:
            return False
        if dried > earliest:
            earliest = dried
            because = w.BY_DRYER
    if needed:
        seconds += inst.startup_s[p, run]
        soonest = setter_free(inst, timing, p)
        if soonest > earliest:
            earliest = soonest
            because = w.BY_SETTER
    if inst.operators > 0:
        soonest = operators_free(inst, timing, p, run)
        if soonest > earliest:
            earliest = soonest
            because = w.BY_OPERATORS

    if inst.wishing != 0:
        wished = wished_moment(inst, timing, p, lot)
        if wished > earliest:
            earliest = wished
            because = w.BY_WISH

    if inst.lot_release.size > 0 and inst.lot_release[lot] > earliest:
        earliest = inst.lot_release[lot]
        because = w.BY_HOURS

    change = seconds if needed else -1
    start, at = _opening(inst, timing, p, run, own, (k, last), (earliest, change))
    if at >= last:
        return False
    presses[p, w.BEGIN] = start
    presses[p, w.AT] = at
    presses[p, w.WARM_UP] = 0 if presses[p, w.HOT] == at else inst.restart_s[p]
    presses[p, w.CHANGE] = change
    presses[p, w.BECAUSE] = because if start == earliest else w.BY_HOURS
    return True


@inner
def _tool_there(inst: Instance, timing: Timing, p: int, tool: int) -> tuple[int, int]:
    """When press p is free and a tool ready and not in another press, and which of these it waits for."""
    earliest = timing.presses[p, w.FREE]
    because = w.BY_PRESS
    ready = inst.tool_ready[tool]
    if ready > earliest:
        earliest = ready
        because = w.BY_READY
    free = timing.tools[inst.tool_base[tool], w.TOOL_FREE]
    if free > earliest:
        earliest = free
        because = w.BY_TOOL
    return earliest, because


@inner
def _opening(
    inst: Instance, timing: Timing, p: int, run: int, own: int, span: tuple[int, int], asked: tuple[int, int]
) -> tuple[int, int]:
    """The first of a span of press p's stretches in which a run of so many shots can begin, and when; the span's end if
    in none. asked: no sooner than when, and seconds of changeover after the warm-up, -1: none is needed."""
    k, last = span
    earliest, change = asked
    hot, restart, startup = timing.presses[p, w.HOT], inst.restart_s[p], inst.startup_s[p, run]
    closing = inst.closing_s[p, run]
    kept = closing + 1 if closing > 0 else 0  # what must not stand gets at least a second of production, then goes
    start = earliest
    while k < last:
        start = max(earliest, inst.open_start[k])
        hands = inst.hands_end[k]
        end = worked_until(inst, k, run, closing)
        if start < end:
            ready = start
            if change >= 0:
                ready = start + (0 if hot == k else restart) + change
                fits = ready + kept <= hands
            else:
                fits = (hot == k and start + closing < end) or (
                    start + restart + startup + closing < end and start + restart + startup <= hands
                )
            if fits and inst.sharing != 0:  # at least a shot is done before others take over
                cold = (change < 0 and hot != k) or ready + closing >= end
                fits = before_others(inst, p, run, own, k, ready, cold) > 0
            if fits:
                break
        k += 1
    return start, k


@inner
def before_others(inst: Instance, p: int, run: int, shots: int, k: int, now: int, restart: bool) -> int:
    """Of so many shots, begun at `now` in stretch k of press p, those that are done before others work there; all where
    the calendar ends first. restart: they begin with one."""
    opens, last, since = inst.open_start, inst.open_ptr[p + 1], inst.since_others[k]
    closing = inst.closing_s[p, run]
    overhead = inst.restart_s[p] + inst.startup_s[p, run]
    num, den = inst.shot_num[p, run], inst.shot_den[p, run]
    wanted = (shots * num + den - 1) // den
    work = 0
    cleared = False
    while True:
        if restart:
            while (
                k < last
                and inst.since_others[k] == since
                and not fits_after(inst, k, run, max(now, opens[k]) + overhead, closing)
            ):
                k += 1
            if k >= last:
                return shots
            if inst.since_others[k] != since:
                return int(min(shots, work * den // num))
            now = max(now, opens[k]) + overhead
        until = worked_until(inst, k, run, closing)
        work += max(0, until - closing - now)
        if work >= wanted:
            return shots
        now = until
        if closing > 0 and not cleared:  # what cleared its melt is purged out again
            overhead += inst.opening_s[p, run]
            cleared = True
        restart = True
        k += 1


@inner
def fits_after(inst: Instance, k: int, run: int, begins: int, closing: int) -> bool:
    """Whether production of a run that begins after a restart fits into stretch k: the restart while somebody is there,
    and all of it where people stay with it or its melt must be cleared."""
    end = worked_until(inst, k, run, closing)
    return bool(begins + closing < end and begins <= inst.hands_end[k])
