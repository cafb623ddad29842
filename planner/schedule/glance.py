"""What a move would change, at a glance: set-ups and working time of the presses it touches, and who would wait.

Why: an exact evaluation times every press, bench and pick-up; a glance only the rest of two presses, and reads off
what it costs to have each lot later or earlier by so much. The walk looks exactly at those moves only that a glance
finds good enough. It misses what presses do to each other through setters, tools and material: those, the exact
evaluator sees. On textbook problems of one press without such ties it is exact. A core looks at some
100,000 moves a second with 70 runs and 20,000 with 200, where it timed 12,000 and 2,600. Lots that a move leaves in
place are walked over without asking for their changeovers anew, and the walk ends where nothing that could still be
gained would make up for what was lost: 1.3 us instead of 1.9 with 60 lots on one press, 5.5 instead of 6.5 on M.

With every move timed the cost was 0.994 (S, 2 s), 1.000 (M, 4 s), 1.006 (L, 8 s) of that with glances
(`benchmarks.schedule_parts`): on small campaigns what it misses cost more than it saved, hence the doubt of `walk.py`.
"""

from planner.schedule import glance_tables as g
from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Floats, Ints
from planner.schedule.jit import inner


@inner
def glance(
    ints: Ints, floats: Floats, seq: Ints, length: Ints, try_seq: Ints, try_length: Ints, p: int, most: float,
    lots: Ints, marks: Floats, press: Floats, axis: Floats, work: Floats, start: Floats, waste: Floats, ends: Floats,
) -> float:  # fmt: skip
    """What the objective would change by if press p's sequence became that of try_seq (P, J).

    most: a change beyond it need not be worked out to the end. ends (J): room.
    """
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
                tool, melt, melt_2 = held(ints, lots, p, behind)
            run = ints[ints[t.LOT_RUN] + lot]
            seconds, cost = enter(ints, floats, p, run, tool, melt, melt_2, press, start, waste)
            release = marks[lot, g.RELEASE_X] if stays else 0.0
            if not stays and marks[lot, g.RELEASE] > 0.0:
                release = to_working(axis, press, p, marks[lot, g.RELEASE])
            x = max(x, release) + seconds + work[p, lot]
            if stays:
                x += marks[lot, g.REST]
            spent += cost + work[p, lot] * press[p, g.RATE]
            tool = ints[ints[t.RUN_TOOL] + run]
            new = ints[ints[t.RUN_MELT] + 2 * run]
            melt = new if new >= 0 else melt
            new = ints[ints[t.RUN_MELT] + 2 * run + 1]
            melt_2 = new if new >= 0 else melt_2
            as_was = stays and melt == lots[lot, g.AFTER_MELT] and melt_2 == lots[lot, g.AFTER_MELT_2]
        ends[n] = x
        behind = lot
    money = spent - press[p, g.TOTAL]  # of set-ups and working time
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
        later = to_wall(axis, press, p, x) - marks[lot, g.WALL_END]
        change += waiting(lots, marks, lot, later)
        over = max(over, later - marks[lot, g.LAST_SLACK])
        gain -= marks[lot, g.GAIN]
    return float(money + change + over * floats[ints[t.AIM_LAST]] / 86400)


@inner
def held(ints: Ints, lots: Ints, p: int, behind: int) -> tuple[int, int, int]:
    """Tool and melts on press p behind a lot of the plan walked from; -1: before its first."""
    if behind < 0:
        melts = ints[t.PRESS_MELT] + 2 * p
        return ints[ints[t.PRESS_TOOL] + p], ints[melts], ints[melts + 1]
    tool = ints[ints[t.RUN_TOOL] + ints[ints[t.LOT_RUN] + behind]]
    return tool, lots[behind, g.AFTER_MELT], lots[behind, g.AFTER_MELT_2]


@inner
def enter(
    ints: Ints, floats: Floats, p: int, run: int, on: int, melt: int, melt_2: int, press: Floats, start: Floats,
    waste: Floats,
) -> tuple[float, float]:  # fmt: skip
    """Seconds and objective of the changeover to a run on press p with a tool on it and melts in it."""
    tool = ints[ints[t.RUN_TOOL] + run]
    runs, melts = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL], ints[t.MELT_RESIN + 1] - ints[t.MELT_RESIN]
    needed = on != tool
    seconds = ints[ints[t.MOUNT_S] + tool] if needed else 0
    money = 0.0
    for b in range(2):
        new = ints[ints[t.RUN_MELT] + 2 * run + b]
        old = melt if b == 0 else melt_2
        if new < 0 or old < 0 or old == new:
            continue
        at = ((2 * p + b) * runs + run) * melts + old
        pair = ((2 * p + b) * melts + old) * melts + new
        kg = 0.0
        # with compound where that is preferred, as if there always were some
        if ints[ints[t.COMPOUND]] >= 0 and floats[ints[t.COMPOUND_KG] + pair] > 0.0:
            seconds += ints[ints[t.COMPOUND_S] + at]
            kg += floats[ints[t.COMPOUND_RINSE_KG] + pair]
            price = floats[ints[t.AIM_COST]] * floats[ints[t.COMPOUND_COST_KG]] + floats[ints[t.AIM_WASTE]]
            money += floats[ints[t.COMPOUND_KG] + pair] * price
        else:
            seconds += ints[ints[t.PURGE_S] + at]
            kg += floats[ints[t.PURGE_KG] + pair]
        # what the hot runner holds is known only where the tool stays
        if on == tool and ints[ints[t.HOT_RUNNER] + 2 * tool + b] != 0:
            seconds += ints[ints[t.HOT_S] + at]
            kg += floats[ints[t.HOT_KG] + ((2 * tool + b) * melts + old) * melts + new]
        money += kg * waste[new]
        needed = True
    if not needed:
        return 0.0, 0.0
    seconds += ints[ints[t.STARTUP_S] + p * runs + run]
    setter = floats[ints[t.SETTER_COST_S]] * floats[ints[t.AIM_COST]]
    return float(seconds), money + start[run] + seconds * (press[p, g.RATE] + setter)


@inner
def to_wall(axis: Floats, press: Floats, p: int, x: float) -> float:
    """The moment at which press p has worked x seconds."""
    at = x / press[p, g.STEP]
    n = min(int(at), axis.shape[1] - 2)
    return float(axis[p, n] + (at - n) * (axis[p, n + 1] - axis[p, n]))


@inner
def to_working(axis: Floats, press: Floats, p: int, moment: float) -> float:
    """Seconds that press p has worked at a moment."""
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
def place(
    ints: Ints, floats: Floats, seq: Ints, length: Ints, timed: Ints, lots: Ints, marks: Floats, press: Floats,
    axis: Floats, work: Floats, start: Floats, waste: Floats,
) -> None:  # fmt: skip
    """Note where every lot of the plan walked from stands. timed: the lots of its Timing."""
    for p in range(length.size):
        tool = ints[ints[t.PRESS_TOOL] + p]
        melt = ints[ints[t.PRESS_MELT] + 2 * p]
        melt_2 = ints[ints[t.PRESS_MELT] + 2 * p + 1]
        x = spent = 0.0
        for n in range(length[p]):
            lot = seq[p, n]
            run = ints[ints[t.LOT_RUN] + lot]
            seconds, money = enter(ints, floats, p, run, tool, melt, melt_2, press, start, waste)
            tool = ints[ints[t.RUN_TOOL] + run]
            new = ints[ints[t.RUN_MELT] + 2 * run]
            melt = new if new >= 0 else melt
            new = ints[ints[t.RUN_MELT] + 2 * run + 1]
            melt_2 = new if new >= 0 else melt_2
            own = money + work[p, lot] * press[p, g.RATE]
            spent += own
            why = timed[lot, w.WHY]
            release = 0.0
            if why == w.BY_READY or why == w.BY_TOOL or why == w.BY_MATERIAL:
                release = float(min(timed[lot, w.CO_START], timed[lot, w.START]))
            lots[lot, g.AT_PRESS] = p
            lots[lot, g.AT_PLACE] = n
            lots[lot, g.BEHIND] = seq[p, n - 1] if n > 0 else -1
            lots[lot, g.AFTER_MELT] = melt
            lots[lot, g.AFTER_MELT_2] = melt_2
            end = to_working(axis, press, p, float(timed[lot, w.END]))
            marks[lot, g.X_END] = end
            marks[lot, g.WALL_END] = to_wall(axis, press, p, end)
            marks[lot, g.SPENT] = spent
            marks[lot, g.OWN] = own
            marks[lot, g.RELEASE] = max(release, float(ints[ints[t.TOOL_READY] + tool]))
            marks[lot, g.RELEASE_X] = to_working(axis, press, p, release) if release > 0.0 else 0.0
            marks[lot, g.STRETCH] = end - max(x, marks[lot, g.RELEASE_X])
            marks[lot, g.REST] = marks[lot, g.STRETCH] - seconds - work[p, lot]
            x = end
        press[p, g.TOTAL] = spent


@inner
def waiting(lots: Ints, marks: Floats, lot: int, later: float) -> float:
    """What it costs to have a lot so many seconds later (earlier, if negative)."""
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
def weigh(
    ints: Ints, floats: Floats, batches: Ints, totals: Floats, moments: Ints, sources: Ints, lots: Ints,
    marks: Floats, press: Floats, asks: Ints, promises: Floats, late: Ints,
) -> None:  # fmt: skip
    """Note who waits for each lot of the plan walked from, and from when on that costs what. batches .. sources: its
    Timing. After `place`."""
    # a kink a batch that asks for the lot; two where the mean dispatch counts too
    kinks = 2 if floats[ints[t.AIM_MEAN]] > g.TIE else 1
    for lot in range(lots.shape[0]):
        _forget(lots, marks, lot, asks[ints[ints[t.LOT_RUN] + lot]] * kinks, totals[w.LAST])
    late[0] = 0
    for b in range(batches.shape[0]):
        _weigh(ints, floats, b, batches, totals, moments, sources, lots, marks, promises, late)
    for p in range(press.shape[0]):
        press[p, g.GAINS] = 0.0
    for lot in range(lots.shape[0]):
        marks[lot, g.GAIN] = -waiting(lots, marks, lot, -marks[lot, g.WALL_END])
        press[lots[lot, g.AT_PRESS], g.GAINS] += marks[lot, g.GAIN]


@inner
def _forget(lots: Ints, marks: Floats, lot: int, kinks: int, last: float) -> None:
    """Nobody waits for the lot yet. Where there will be more kinks than room, they share those of a fixed grid."""
    grid = kinks > g.HINGES
    lots[lot, g.GRID] = 1 if grid else 0
    lots[lot, g.LATER_N] = lots[lot, g.EARLIER_N] = g.HINGES if grid else 0
    lots[lot, g.STAMP] = -1
    marks[lot, g.LAST_SLACK] = NEVER
    marks[lot, g.EARLIER] = 0.0
    if grid:
        for k in range(g.HINGES):
            at = 0.0 if k == 0 else last / (1 << (g.HINGES + 1 - k))
            marks[lot, g.LATER_AT + k] = at
            marks[lot, g.EARLIER_AT + k] = at
            marks[lot, g.LATER + k] = 0.0
            marks[lot, g.LESS + k] = 0.0


@inner
def _kink(lots: Ints, marks: Floats, lot: int, count: int, at: int, by: int, where: float, slope: float) -> None:
    """Add a kink of so much slope: in its own place, or shared between the two nodes of the grid around it."""
    if lots[lot, g.GRID] == 0:
        n = lots[lot, count]
        marks[lot, at + n] = where
        marks[lot, by + n] = slope
        lots[lot, count] = n + 1
        return
    k = 0
    while k < g.HINGES - 1 and marks[lot, at + k + 1] <= where:
        k += 1
    if k == g.HINGES - 1:
        marks[lot, by + k] += slope
        return
    share = (where - marks[lot, at + k]) / (marks[lot, at + k + 1] - marks[lot, at + k])
    marks[lot, by + k] += slope * (1.0 - share)
    marks[lot, by + k + 1] += slope * share


@inner
def _weigh(
    ints: Ints, floats: Floats, b: int, batches: Ints, totals: Floats, moments: Ints, sources: Ints, lots: Ints,
    marks: Floats, promises: Floats, late: Ints,
) -> None:  # fmt: skip
    """Add batch b's waiting to the lots whose parts it needs."""
    first = ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b]]
    last = ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b + 1]]
    ready = second = 0
    waits_for = -1
    for i in range(first, last):
        lot = sources[i]
        moment = moments[i]
        if lot >= 0:
            if lots[lot, g.STAMP] != b:
                lots[lot, g.STAMP] = b
                marks[lot, g.ASKED_T] = 0.0
            marks[lot, g.ASKED_T] = max(marks[lot, g.ASKED_T], float(moment))
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
        if lot < 0 or lots[lot, g.STAMP] != b:
            continue
        lots[lot, g.STAMP] = -1
        slack = ready - marks[lot, g.ASKED_T]
        marks[lot, g.LAST_SLACK] = min(marks[lot, g.LAST_SLACK], slack + last_spare)
        if slope > 0.0:
            _kink(lots, marks, lot, g.LATER_N, g.LATER_AT, g.LATER, slack + max(0.0, spare), slope)
        if mean > 0.0:
            _kink(lots, marks, lot, g.LATER_N, g.LATER_AT, g.LATER, slack, mean)
        if lot == waits_for:
            if slope > 0.0 and spare < 0.0:
                marks[lot, g.EARLIER] += slope
                most = min(float(ready - second), -spare)
                _kink(lots, marks, lot, g.EARLIER_N, g.EARLIER_AT, g.LESS, most, slope)
            if mean > 0.0:
                marks[lot, g.EARLIER] += mean
                _kink(lots, marks, lot, g.EARLIER_N, g.EARLIER_AT, g.LESS, float(ready - second), mean)
