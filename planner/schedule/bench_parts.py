"""When what each assembly job needs is there: parts and pieces handed out in order of service, shots made moments.

Why apart from the benches: with 500 runs 1.25 ms of the 1.39 ms of all benches went into this, and a step of the chain
changes little of it. Needs are handed out again only between the places where the order of service changed, and moments
are worked out again only for run demands whose lots begin at another time.
"""

from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Instance, Ints
from planner.schedule.jit import inlined, inner
from planner.schedule.shot_moment import shot_done
from planner.schedule.timing import Timing


@inner
def allot(inst: Instance, timing: Timing, before: Ints, order: Ints, anew: bool) -> None:
    """Hand out parts and pieces in order of service: which shot each need waits for, whatever the presses do.

    needs[i]: the shot of its run demand that brings the last part asked for (0: in stock); for pieces and parts no run
    makes, the moment they are there. before (B): the order handed out last, of which nothing is left where `anew` is
    true; order (B): the one to hand out now. Moments of needs that change follow the timing `refresh` saw last; handed
    out anew, those of moulded parts are left to `refresh`.
    """
    goods, asked, queues = timing.goods, timing.asked, timing.queues
    first, last = 0, order.size - 1
    if not anew:
        while first <= last and before[first] == order[first]:
            first += 1
        while last >= first and before[last] == order[last]:
            last -= 1
    if first > last:
        return
    for g in range(goods.shape[0]):
        goods[g, w.ASKED] = 0 if anew else -1
    jobs_need = inst.job_good.size
    for twice in range(1 if anew else 0, 2):
        for n in range(first, last + 1):
            b = order[n] if twice == 1 else before[n]
            own = inst.batch_need_ptr[b]
            # the needs of a batch's jobs, then its own
            job_first = inst.job_need_ptr[inst.job_ptr[b]]
            job_last = inst.job_need_ptr[inst.job_ptr[b + 1]]
            steps = job_last - job_first + inst.batch_need_ptr[b + 1] - own
            if twice == 1:
                queues[w.BATCH_RANK, b] = n
            for step in range(steps):
                if step < job_last - job_first:
                    mine = job_first + step
                    g, quantity = inst.job_good[mine], inst.job_qty[mine]
                else:
                    i = own + step - (job_last - job_first)
                    mine = jobs_need + i
                    g, quantity = inst.batch_good[i], inst.batch_qty[i]
                if twice == 0:  # what had been handed out of each good before the first place that changed
                    if goods[g, w.ASKED] < 0:
                        goods[g, w.ASKED] = asked[mine] - quantity
                    continue
                goods[g, w.ASKED] += quantity
                if not anew and asked[mine] == goods[g, w.ASKED]:
                    continue
                asked[mine] = goods[g, w.ASKED]
                timing.needs[mine] = need_of(inst, g, asked[mine])
                if mine < jobs_need and (not anew or inst.good_run[g] < 0):
                    timing.moments[mine], timing.sources[mine] = moment_of(inst, timing, g, timing.needs[mine])
    ranked = 0
    for n in range(order.size):
        b = order[n]
        for job in range(inst.job_ptr[b], inst.job_ptr[b + 1]):
            queues[w.JOB_RANK, job] = ranked
            ranked += 1


@inlined
def need_of(inst: Instance, g: int, asked: int) -> int:
    """The shot, or the moment, that meets a need when so much of good g has been asked for in all; where several tools
    make it, the part.

    Of parts a run makes, a moment at which some in hand are back from elsewhere is told below 0.
    """
    if inst.good_run[g] < 0:
        for supply in range(inst.piece_ptr[g], inst.piece_ptr[g + 1]):
            if inst.piece_count[supply] >= asked:
                return int(inst.piece_t[supply])
        return NEVER
    parts = max(0, asked - inst.good_stock[g])
    if parts > 0 and travel_apart(inst, g):
        return int(parts)
    if parts > 0 and inst.sent_out > 0:
        lot, moulded = inst.good_lot[g], inst.good_moulded[g]
        if lot > 0:  # waits for the last part of its lot
            parts = min((parts + lot - 1) // lot * lot, moulded + inst.good_need[g])
        parts -= moulded
        if parts <= 0:
            return -back_from(inst, g, 0)
    if inst.several > 0 and inst.first_source[g] < inst.last_source[g]:
        return int(parts)
    # Q good parts are counted on in N_i shots, evenly: the m-th is there with shot ceil(m N_i / Q)
    q = inst.good_need[g]
    return int((parts * inst.good_count_shots[g] + q - 1) // q)


@inner
def refresh(inst: Instance, timing: Timing) -> None:
    """Bring moments up to the lots' timing: of run demands with a lot that begins otherwise than when last looked at.

    known (rows of lots, 5): press, begin, start, shots and run demand of each then; they settle all its shots.
    asking (R + 1, then all needs met by runs): where each run demand's needs stand, and which.
    """
    lots, links, known, asking = timing.lots, timing.links, timing.known, timing.asking
    runs = inst.run_tool.size
    for run in range(runs):
        links[run] = -1
        links[runs + run] = -1
    # first lot of each run demand, last, next of each lot, in order of start; the last is forgotten afterwards
    for n in range(lots.shape[0]):
        lot = lots[n, w.ORDER]
        if lot < 0:
            break
        run = inst.lot_run[lots[lot, w.LOT]]
        if links[run] < 0:
            links[run] = lot
        else:
            links[2 * runs + links[runs + run]] = lot
        links[runs + run] = lot
        links[2 * runs + lot] = -1
    for run in range(runs):
        changed = False
        lot = links[run]
        while lot >= 0:
            begin = min(lots[lot, w.CO_START], lots[lot, w.START])
            if known[lot, 0] != lots[lot, w.PRESS] or known[lot, 1] != begin or known[lot, 2] != lots[lot, w.START]:
                changed = True
                known[lot, 0], known[lot, 1], known[lot, 2] = lots[lot, w.PRESS], begin, lots[lot, w.START]
            if known[lot, 3] != lots[lot, w.SHOTS] or known[lot, 4] != run:
                changed = True
                known[lot, 3], known[lot, 4] = lots[lot, w.SHOTS], run
            lot = links[2 * runs + lot]
        if changed:
            for at in range(asking[run], asking[run + 1]):
                i = asking[at]
                good = inst.job_good[i]
                timing.moments[i], timing.sources[i] = moment_of(inst, timing, good, timing.needs[i])


@inlined
def moment_of(inst: Instance, timing: Timing, g: int, need: int) -> tuple[int, int]:
    """When a need of good g is met (parts: moulded and rested), NEVER if never; and by which lot, -1 if by none."""
    lots, links = timing.lots, timing.links
    run = inst.good_run[g]
    left = need
    if run < 0:
        return left, -1
    if left <= 0:
        return -left, -1
    if inst.several > 0 and inst.first_source[g] < inst.last_source[g]:
        return _of_several(inst, timing, g, left)
    runs = inst.run_tool.size
    lot = links[run]
    while lot >= 0 and lots[lot, w.SHOTS] < left:
        left -= lots[lot, w.SHOTS]
        lot = links[2 * runs + lot]
    if lot < 0:
        return NEVER, -1
    rested = shot_done(inst, timing, run, lot, left) + inst.good_rest_s[g]
    return (back_from(inst, g, rested) if inst.sent_out > 0 else rested), lots[lot, w.LOT]


@inner
def _of_several(inst: Instance, timing: Timing, g: int, parts: int) -> tuple[int, int]:
    """When so many parts of a good that several tools make are there (rested, back), and the lot that made the last."""
    lots, links, runs = timing.lots, timing.links, inst.run_tool.size
    if travel_apart(inst, g):
        return _of_several_places(inst, timing, g, parts)
    low = high = 0
    for source in range(inst.first_source[g], inst.last_source[g]):
        lot = links[inst.good_run[source]]
        while lot >= 0:
            high = max(high, lots[lot, w.END])
            lot = links[2 * runs + lot]
    if _parts_by(inst, timing, g, high) < parts:
        return NEVER, -1
    while high - low > 1:
        middle = (low + high) >> 1
        if _parts_by(inst, timing, g, middle) < parts:
            low = middle
        else:
            high = middle
    by = -1
    for source in range(inst.first_source[g], inst.last_source[g]):
        lot = links[inst.good_run[source]]
        while lot >= 0 and by < 0:
            if shots_by(inst, timing, lot, high) > shots_by(inst, timing, lot, low):
                by = lots[lot, w.LOT]
            lot = links[2 * runs + lot]
    rested = high + inst.good_rest_s[g]
    return (back_from(inst, g, rested) if inst.sent_out > 0 else rested), by


@inner
def travel_apart(inst: Instance, g: int) -> bool:
    """Whether what several tools make of good g travels in lots of its own from each, or some of it does; where all of
    it travels together, it has lots."""
    if inst.sent_out == 0 or inst.several == 0 or inst.first_source[g] == inst.last_source[g] or inst.good_lot[g] > 0:
        return False
    if inst.trip_ptr[g] < inst.trip_ptr[g + 1]:
        return True
    for source in range(inst.first_source[g], inst.last_source[g]):
        if inst.trip_ptr[source] < inst.trip_ptr[source + 1]:
            return True
    return False


@inner
def _of_several_places(inst: Instance, timing: Timing, g: int, parts: int) -> tuple[int, int]:
    """When so many parts of a good that tools make at several places are where they are taken, and the lot that made
    the last of them."""
    lots, links, runs = timing.lots, timing.links, inst.run_tool.size
    low = 0
    high = back_from(inst, g, 0) if inst.good_moulded[g] > 0 else 0
    for source in range(inst.first_source[g], inst.last_source[g]):
        lot = links[inst.good_run[source]]
        while lot >= 0:
            high = max(high, back_from(inst, source, lots[lot, w.END] + inst.good_rest_s[g]))
            lot = links[2 * runs + lot]
    if high >= NEVER or _arrived_of(inst, timing, g, high) < parts:
        return NEVER, -1
    while high - low > 1:
        middle = (low + high) >> 1
        if _arrived_of(inst, timing, g, middle) < parts:
            low = middle
        else:
            high = middle
    for source in range(inst.first_source[g], inst.last_source[g]):
        came = arrived(inst, timing, g, source, high)
        if came > arrived(inst, timing, g, source, low):
            left = (came * inst.good_count_shots[source] + inst.good_need[source] - 1) // inst.good_need[source]
            lot = links[inst.good_run[source]]
            while lot >= 0 and lots[lot, w.SHOTS] < left:
                left -= lots[lot, w.SHOTS]
                lot = links[2 * runs + lot]
            if lot >= 0:
                return high, lots[lot, w.LOT]
    return high, -1


@inner
def _arrived_of(inst: Instance, timing: Timing, g: int, moment: int) -> int:
    """Parts of a good that have come by a moment: those in hand elsewhere, and of all tools that make it."""
    found = int(inst.good_moulded[g])
    if found > 0 and back_from(inst, g, 0) > moment:
        found = 0
    for source in range(inst.first_source[g], inst.last_source[g]):
        found += arrived(inst, timing, g, source, moment)
    return found


@inner
def arrived(inst: Instance, timing: Timing, g: int, source: int, moment: int) -> int:
    """Parts of good g that one of its tools made which have rested, and come, by a moment: whole lots of its own."""
    complete = moment
    first, last = inst.trip_ptr[source], inst.trip_ptr[source + 1]
    if first < last:
        begin = first
        while first < last:  # the last journey that is back by then
            middle = (first + last) >> 1
            if inst.trip_back[middle] <= moment:
                first = middle + 1
            else:
                last = middle
        if first == begin:
            return 0
        complete = inst.trip_leaves[first - 1]
    parts = _parts_of(inst, timing, source, complete - inst.good_rest_s[g])
    lot = inst.good_lot[source]
    if lot > 0 and parts < inst.good_need[source]:
        parts -= parts % lot
    return parts


@inner
def _parts_by(inst: Instance, timing: Timing, g: int, moment: int) -> int:
    """Parts counted on by a moment, of all tools that make the good: each tool's as evenly as its shots."""
    found = 0
    for source in range(inst.first_source[g], inst.last_source[g]):
        found += _parts_of(inst, timing, source, moment)
    return found


@inner
def _parts_of(inst: Instance, timing: Timing, source: int, moment: int) -> int:
    """Parts counted on by a moment of what one of several tools makes."""
    shots = 0
    lot = timing.links[inst.good_run[source]]
    while lot >= 0:
        shots += shots_by(inst, timing, lot, moment)
        lot = timing.links[2 * inst.run_tool.size + lot]
    asked = inst.good_count_shots[source]
    return int(min(shots, asked) * inst.good_need[source] // asked)


@inner
def shots_by(inst: Instance, timing: Timing, lot: int, moment: int) -> int:
    """Shots of a lot, row of the lots' table, that are done by a moment."""
    lots, pieces = timing.lots, timing.pieces
    p, run = lots[lot, w.PRESS], inst.lot_run[lots[lot, w.LOT]]
    worked = 0
    for piece in range(lots[lot, w.FIRST_PIECE], lots[lot, w.FIRST_PIECE] + lots[lot, w.PIECES]):
        worked += max(0, min(moment - pieces[piece, w.BEGAN], pieces[piece, w.WORK]))
    return int(min(lots[lot, w.SHOTS], worked * inst.shot_den[p, run] // inst.shot_num[p, run]))


@inner
def back_from(inst: Instance, g: int, moment: int) -> int:
    """When a part of good g that is there to travel at a moment is back; the moment itself where it goes nowhere."""
    first, after = inst.trip_ptr[g], inst.trip_ptr[g + 1]
    if first == after:
        return moment
    last = after
    while first < after:
        middle = (first + after) >> 1
        if inst.trip_leaves[middle] < moment:
            first = middle + 1
        else:
            after = middle
    return int(inst.trip_back[first]) if first < last else NEVER
