"""What a move would change, estimated: set-ups and working time of the presses it touches, and who would wait.

Why: an exact evaluation times every press, bench and pick-up; an estimate only the rest of two presses, and reads off
what it costs to have each lot later or earlier by so much. The chain looks exactly at those moves only that an estimate
finds good enough. It misses what presses do to each other through setters, tools and material: those, the exact
evaluator sees. On textbook problems of one press without such ties it is exact. A core looks at some
100,000 moves a second with 70 runs and 20,000 with 200, where it timed 12,000 and 2,600. Lots that a move leaves in
place are passed over without asking for their changeovers anew, and it ends where nothing that could still be
gained would make up for what was lost: 1.3 us instead of 1.9 with 60 lots on one press, 5.5 instead of 6.5 on M.

With every move timed the cost was 0.994 (S, 2 s), 1.000 (M, 4 s), 1.006 (L, 8 s) of that with estimates
(`benchmarks.schedule_parts`): on small campaigns what it misses cost more than it saved, hence the doubt of
`annealing.py`.
"""

from planner.schedule import delta_tables as g
from planner.schedule import timing as w
from planner.schedule.changeover import AS_PREFERRED, changeover, mounting
from planner.schedule.delta_tables import DeltaTables
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.jit import inner
from planner.schedule.sequences import Sequences
from planner.schedule.stability import runs_moved
from planner.schedule.timing import Timing


@inner
def delta_estimate(inst: Instance, plan: Sequences, trial: Sequences, delta: DeltaTables, p: int, most: float) -> float:
    """What the objective would change by if press p's sequence became that of the trial.

    most: a change beyond it need not be worked out to the end.
    """
    seq, length, try_seq, try_length = plan.seq, plan.length, trial.seq, trial.length
    lots, marks, press, ends = delta.lots, delta.marks, delta.presses, delta.ends
    work, paid = delta.work, delta.paid
    first = 0
    shortest = min(length[p], try_length[p])
    while first < shortest and seq[p, first] == try_seq[p, first]:
        first += 1
    alike = 0  # lots at the end that are the same
    while alike < shortest - first and seq[p, length[p] - 1 - alike] == try_seq[p, try_length[p] - 1 - alike]:
        alike += 1
    tail = try_length[p] - alike
    behind = -1
    x = spent = 0.0
    gain = press[p, g.GAINS]  # the most that being earlier can still bring
    if first > 0:
        behind = try_seq[p, first - 1]
        x, spent = marks[behind, g.X_END], marks[behind, g.SPENT]
    as_was = True  # whether tool and barrels behind it are as they were
    tool = melt = melt_2 = 0
    settled = try_length[p]  # from here on everything is as it was but for the time
    for n in range(first, try_length[p]):
        lot = try_seq[p, n]
        stays = lots[lot, g.AT_PRESS] == p
        if not stays:
            gain += marks[lot, g.GAIN]
        if as_was and stays and lots[lot, g.BEHIND] == behind:
            if n >= tail:
                settled = n
                spent += press[p, g.TOTAL] - marks[lot, g.SPENT] + marks[lot, g.OWN]
                break
            # the time between two ends stays: what it was, but for gaps that shrink
            x = max(x, marks[lot, g.RELEASE_X]) + marks[lot, g.STRETCH]
            spent += marks[lot, g.OWN]
        else:
            if as_was:
                tool, melt, melt_2 = held(inst, delta, p, behind)
            run = inst.lot_run[lot]
            seconds, cost = enter(inst, delta, p, run, tool, melt, melt_2)
            release = marks[lot, g.RELEASE_X] if stays else 0.0
            if not stays and marks[lot, g.RELEASE] > 0.0:
                release = to_working(delta, p, marks[lot, g.RELEASE])
            x = max(x, release) + seconds + work[p, lot]
            if stays:
                x += marks[lot, g.REST]
            spent += cost + paid[p, lot]
            tool = inst.run_tool[run]
            new = inst.left_melt[run, 0]
            melt = new if new >= 0 else melt
            new = inst.left_melt[run, 1]
            melt_2 = new if new >= 0 else melt_2
            as_was = stays and melt == lots[lot, g.AFTER_MELT] and melt_2 == lots[lot, g.AFTER_MELT_2]
        ends[n] = x
        behind = lot
    money = spent - press[p, g.TOTAL]  # of set-ups and working time
    if inst.announced != 0:
        money += inst.moving_run * (runs_moved(inst, trial, p) - runs_moved(inst, plan, p))
    change = over = 0.0  # of waiting; of the last dispatch, in seconds
    for n in range(first, try_length[p]):
        # nothing that could still be gained would make up for it
        if money + change - gain > most:
            break
        lot = try_seq[p, n]
        if n < settled:
            x = ends[n]
        else:
            x = max(x, marks[lot, g.RELEASE_X]) + marks[lot, g.STRETCH]
            if x == marks[lot, g.X_END]:
                break
        later = to_wall(delta, p, x) - marks[lot, g.WALL_END]
        change += waiting(delta, lot, later)
        over = max(over, later - marks[lot, g.LAST_SLACK])
        gain -= marks[lot, g.GAIN]
    return float(money + change + over * inst.aim_last / 86400)


@inner
def held(inst: Instance, delta: DeltaTables, p: int, behind: int) -> tuple[int, int, int]:
    """Tool and melts on press p behind a lot of the plan it stands on; -1: before its first."""
    lots = delta.lots
    if behind < 0:
        return inst.press_tool[p], inst.press_melt[p, 0], inst.press_melt[p, 1]
    tool = inst.run_tool[inst.lot_run[behind]]
    return tool, lots[behind, g.AFTER_MELT], lots[behind, g.AFTER_MELT_2]


@inner
def enter(inst: Instance, delta: DeltaTables, p: int, run: int, on: int, melt: int, melt_2: int) -> tuple[float, float]:
    """Seconds and objective of the changeover to a run on press p with a tool on it and melts in it."""
    stays = on == inst.run_tool[run]
    # what the hot runner holds is known only where the tool stays
    holds = (melt, melt_2, melt if stays else -1, melt_2 if stays else -1)
    nothing = inst.material_have  # to choose by
    purged, seconds, _, kg_1, kg_2, compound_kg, _, between_1, between_2 = changeover(
        inst, p, run, holds, AS_PREFERRED, 0, nothing
    )
    if stays and not purged:
        return 0.0, 0.0
    seconds += mounting(inst, on, inst.run_tool[run])
    money = 0.0
    if inst.charging != 0:
        money += inst.aim_cost * inst.changeover_charge[p, int(purged), int(not stays)]
    if compound_kg > 0.0:
        money += compound_kg * (inst.aim_cost * inst.compound_cost_kg + inst.aim_waste)
    for between, kg in (between_1, between_2):
        if between >= 0:
            money += kg * (inst.aim_cost * inst.clearing_cost_kg[between] + inst.aim_waste)
    if kg_1 > 0.0:
        money += kg_1 * delta.waste[inst.run_melt[run, 0]]
    if kg_2 > 0.0:
        money += kg_2 * delta.waste[inst.run_melt[run, 1]]
    seconds += inst.startup_s[p, run]
    setter = inst.setter_cost_s[p] * inst.aim_cost
    return float(seconds), money + delta.start[run] + seconds * (delta.presses[p, g.RATE] + setter)


@inner
def to_wall(delta: DeltaTables, p: int, x: float) -> float:
    """The moment at which press p has worked x seconds."""
    axis, press = delta.axis, delta.presses
    at = x / press[p, g.STEP]
    n = min(int(at), axis.shape[1] - 2)
    return float(axis[p, n] + (at - n) * (axis[p, n + 1] - axis[p, n]))


@inner
def to_working(delta: DeltaTables, p: int, moment: float) -> float:
    """Seconds that press p has worked at a moment."""
    axis, press = delta.axis, delta.presses
    low, high = 0, axis.shape[1] - 1
    if moment <= axis[p, 0]:
        return 0.0
    while high - low > 1:
        middle = (low + high) >> 1
        if axis[p, middle] <= moment:
            low = middle
        else:
            high = middle
    return float(press[p, g.STEP] * (low + (moment - axis[p, low]) / (axis[p, low + 1] - axis[p, low])))


@inner
def place(inst: Instance, plan: Sequences, timed: Ints, delta: DeltaTables) -> None:
    """Note where every lot of the plan it stands on stands. timed: the lots of its Timing.

    What is noted already holds where a lot stays behind the same lot with the same melts, or ends when it did.
    """
    seq, length = plan.seq, plan.length
    lots, marks, press = delta.lots, delta.marks, delta.presses
    work, paid = delta.work, delta.paid
    for p in range(length.size):
        tool = inst.press_tool[p]
        melt = inst.press_melt[p, 0]
        melt_2 = inst.press_melt[p, 1]
        x = spent = 0.0
        behind = -1
        for n in range(length[p]):
            lot = seq[p, n]
            run = inst.lot_run[lot]
            stays = lots[lot, g.AT_PRESS] == p
            if (
                not stays
                or lots[lot, g.BEHIND] != behind
                or lots[lot, g.BEFORE_MELT] != melt
                or lots[lot, g.BEFORE_MELT_2] != melt_2
            ):
                seconds, money = enter(inst, delta, p, run, tool, melt, melt_2)
                marks[lot, g.CHANGE_S] = seconds
                marks[lot, g.OWN] = money + paid[p, lot]
                lots[lot, g.AT_PRESS] = p
                lots[lot, g.BEHIND] = behind
                lots[lot, g.BEFORE_MELT] = melt
                lots[lot, g.BEFORE_MELT_2] = melt_2
            tool = inst.run_tool[run]
            new = inst.left_melt[run, 0]
            melt = new if new >= 0 else melt
            new = inst.left_melt[run, 1]
            melt_2 = new if new >= 0 else melt_2
            spent += marks[lot, g.OWN]
            why = timed[lot, w.WHY]
            release = 0.0
            if why == w.BY_READY or why == w.BY_TOOL or why == w.BY_MATERIAL:
                release = float(min(timed[lot, w.CO_START], timed[lot, w.START]))
            lots[lot, g.AT_PLACE] = n
            lots[lot, g.AFTER_MELT] = melt
            lots[lot, g.AFTER_MELT_2] = melt_2
            if not stays or lots[lot, g.ENDED] != timed[lot, w.END]:
                lots[lot, g.ENDED] = timed[lot, w.END]
                marks[lot, g.X_END] = to_working(delta, p, float(timed[lot, w.END]))
                marks[lot, g.WALL_END] = to_wall(delta, p, marks[lot, g.X_END])
            end = marks[lot, g.X_END]
            marks[lot, g.SPENT] = spent
            marks[lot, g.RELEASE] = max(release, float(inst.tool_ready[tool]))
            if not stays or marks[lot, g.WAITED] != release:
                marks[lot, g.WAITED] = release
                marks[lot, g.RELEASE_X] = to_working(delta, p, release) if release > 0.0 else 0.0
            marks[lot, g.STRETCH] = end - max(x, marks[lot, g.RELEASE_X])
            marks[lot, g.REST] = marks[lot, g.STRETCH] - marks[lot, g.CHANGE_S] - work[p, lot]
            x = end
            behind = lot
        press[p, g.TOTAL] = spent


@inner
def waiting(delta: DeltaTables, lot: int, later: float) -> float:
    """What it costs to have a lot so many seconds later (earlier, if negative)."""
    lots, marks = delta.lots, delta.marks
    change = 0.0
    if later > 0.0:
        for k in range(lots[lot, g.LATER_N]):
            beyond = later - marks[lot, g.LATER_AT + k]
            if beyond > 0.0:
                change += beyond * marks[lot, g.LATER + k]
    elif later < 0.0:
        change = later * marks[lot, g.EARLIER]
        for k in range(lots[lot, g.EARLIER_N]):
            beyond = -later - marks[lot, g.EARLIER_AT + k]
            if beyond > 0.0:
                change += beyond * marks[lot, g.LESS + k]
    return change


@inner
def weigh(inst: Instance, timing: Timing, delta: DeltaTables) -> None:
    """Note who waits for each lot of the plan it stands on, and from when on that costs what. timing: its own. After
    `place`."""
    lots, marks, press, late = delta.lots, delta.marks, delta.presses, delta.late
    # a breakpoint a batch that asks for the lot; two where the mean dispatch counts too
    breakpoints = 2 if inst.aim_mean > g.TIE else 1
    for k in range(1, g.BREAKPOINTS):
        delta.grid[k] = timing.totals[w.LAST] / (1 << (g.BREAKPOINTS + 1 - k))
    for lot in range(lots.shape[0]):
        _forget(delta, lot, delta.asks[inst.lot_run[lot]] * breakpoints)
    late[0] = 0
    for b in range(timing.batches.shape[0]):
        _weigh(inst, timing, delta, b)
    for p in range(press.shape[0]):
        press[p, g.GAINS] = 0.0
    for lot in range(lots.shape[0]):
        marks[lot, g.GAIN] = -waiting(delta, lot, -marks[lot, g.WALL_END])
        press[lots[lot, g.AT_PRESS], g.GAINS] += marks[lot, g.GAIN]


@inner
def _forget(delta: DeltaTables, lot: int, breakpoints: int) -> None:
    """Nobody waits for the lot yet. Where there will be more breakpoints than room, they share those of a fixed
    grid."""
    lots, marks = delta.lots, delta.marks
    grid = breakpoints > g.BREAKPOINTS
    lots[lot, g.GRID] = 1 if grid else 0
    lots[lot, g.LATER_N] = lots[lot, g.EARLIER_N] = g.BREAKPOINTS if grid else 0
    delta.asking[lot] = -1
    marks[lot, g.LAST_SLACK] = NEVER
    marks[lot, g.EARLIER] = 0.0
    if grid:
        for k in range(g.BREAKPOINTS):
            marks[lot, g.LATER_AT + k] = delta.grid[k]
            marks[lot, g.EARLIER_AT + k] = delta.grid[k]
            marks[lot, g.LATER + k] = 0.0
            marks[lot, g.LESS + k] = 0.0


@inner
def _breakpoint(delta: DeltaTables, lot: int, count: int, at: int, by: int, where: float, slope: float) -> None:
    """Add a breakpoint of so much slope: in its own place, or shared between the two nodes of the grid around it."""
    lots, marks = delta.lots, delta.marks
    if lots[lot, g.GRID] == 0:
        n = lots[lot, count]
        marks[lot, at + n] = where
        marks[lot, by + n] = slope
        lots[lot, count] = n + 1
        return
    k, grid = 0, delta.grid
    while k < g.BREAKPOINTS - 1 and grid[k + 1] <= where:
        k += 1
    if k == g.BREAKPOINTS - 1:
        marks[lot, by + k] += slope
        return
    share = (where - grid[k]) / (grid[k + 1] - grid[k])
    marks[lot, by + k] += slope * (1.0 - share)
    marks[lot, by + k + 1] += slope * share


@inner
def _weigh(inst: Instance, timing: Timing, delta: DeltaTables, b: int) -> None:
    """Add batch b's waiting to the lots whose parts it needs."""
    marks, late, promises, asking, asked = delta.marks, delta.late, delta.batches, delta.asking, delta.asked
    batches, totals, moments, sources = timing.batches, timing.totals, timing.moments, timing.sources
    first = inst.job_need_ptr[inst.job_ptr[b]]
    last = inst.job_need_ptr[inst.job_ptr[b + 1]]
    ready = second = 0
    waits_for = -1
    for i in range(first, last):
        lot = sources[i]
        moment = moments[i]
        if lot >= 0:
            if asking[lot] != b:
                asking[lot] = b
                asked[lot] = 0.0
            asked[lot] = max(asked[lot], float(moment))
        if lot == waits_for:
            ready = max(ready, moment)
        elif moment > ready:
            second = ready
            ready = moment
            waits_for = lot
        elif moment > second:
            second = moment
    packed = batches[b, w.ENDED]
    spare = promises[b, g.DUE_T] - packed  # negative: late
    late[1 + batches.shape[0] + b] = waits_for
    if spare < 0.0 and waits_for >= 0:
        late[0] += 1
        late[late[0]] = b
    slope, mean = promises[b, g.LATE_S], promises[b, g.MEAN_S]
    last_spare = totals[w.LAST] - packed
    for i in range(first, last):
        lot = sources[i]
        if lot < 0 or asking[lot] != b:
            continue
        asking[lot] = -1
        slack = ready - asked[lot]
        if inst.aim_last > 0.0:
            marks[lot, g.LAST_SLACK] = min(marks[lot, g.LAST_SLACK], slack + last_spare)
        if slope > 0.0:
            _breakpoint(delta, lot, g.LATER_N, g.LATER_AT, g.LATER, slack + max(0.0, spare), slope)
        if mean > 0.0:
            _breakpoint(delta, lot, g.LATER_N, g.LATER_AT, g.LATER, slack, mean)
        if lot == waits_for:
            if slope > 0.0 and spare < 0.0:
                marks[lot, g.EARLIER] += slope
                most = min(float(ready - second), -spare)
                _breakpoint(delta, lot, g.EARLIER_N, g.EARLIER_AT, g.LESS, most, slope)
            if mean > 0.0:
                marks[lot, g.EARLIER] += mean
                _breakpoint(delta, lot, g.EARLIER_N, g.EARLIER_AT, g.LESS, float(ready - second), mean)
