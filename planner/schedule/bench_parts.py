"""When what each assembly job needs is there: parts and pieces handed out in order of service, shots made moments.

Why apart from the benches: with 500 runs 1.25 ms of the 1.39 ms of all benches went into this, and a step of the walk
changes little of it. Needs are handed out again only between the places where the order of service changed, and moments
are worked out again only for run demands whose lots begin at another time.
"""

from planner.schedule import tape as t
from planner.schedule import timing as w
from planner.schedule.instance import NEVER, Ints
from planner.schedule.jit import inner


@inner
def allot(
    ints: Ints, before: Ints, order: Ints, lots: Ints, pieces: Ints, links: Ints, goods: Ints, asked: Ints, needs: Ints,
    moments: Ints, sources: Ints, queues: Ints, anew: bool,
) -> None:  # fmt: skip
    """Hand out parts and pieces in order of service: which shot each need waits for, whatever the presses do.

    needs[i]: the shot of its run demand that brings the last part asked for (0: in stock); for pieces and parts no run
    makes, the moment they are there. before (B): the order handed out last, of which nothing is left where `anew` is
    true; order (B): the one to hand out now. Moments of needs that change follow the timing `refresh` saw last; handed
    out anew, those of moulded parts are left to `refresh`.
    """
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
    jobs_need = ints[t.JOB_GOOD + 1] - ints[t.JOB_GOOD]
    for twice in range(1 if anew else 0, 2):
        for n in range(first, last + 1):
            b = order[n] if twice == 1 else before[n]
            own = ints[ints[t.BATCH_NEED_PTR] + b]
            # the needs of a batch's jobs, then its own
            job_first = ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b]]
            job_last = ints[ints[t.JOB_NEED_PTR] + ints[ints[t.JOB_PTR] + b + 1]]
            steps = job_last - job_first + ints[ints[t.BATCH_NEED_PTR] + b + 1] - own
            if twice == 1:
                queues[w.BATCH_RANK, b] = n
            for step in range(steps):
                if step < job_last - job_first:
                    mine = job_first + step
                    g, quantity = ints[ints[t.JOB_GOOD] + mine], ints[ints[t.JOB_QTY] + mine]
                else:
                    i = own + step - (job_last - job_first)
                    mine = jobs_need + i
                    g, quantity = ints[ints[t.BATCH_GOOD] + i], ints[ints[t.BATCH_QTY] + i]
                if twice == 0:  # what had been handed out of each good before the first place that changed
                    if goods[g, w.ASKED] < 0:
                        goods[g, w.ASKED] = asked[mine] - quantity
                    continue
                goods[g, w.ASKED] += quantity
                if not anew and asked[mine] == goods[g, w.ASKED]:
                    continue
                asked[mine] = goods[g, w.ASKED]
                needs[mine] = need_of(ints, g, asked[mine])
                if mine < jobs_need and (not anew or ints[ints[t.GOOD_RUN] + g] < 0):
                    moment_of(ints, lots, pieces, links, g, mine, needs, moments, sources)
    ranked = 0
    for n in range(order.size):
        b = order[n]
        for job in range(ints[ints[t.JOB_PTR] + b], ints[ints[t.JOB_PTR] + b + 1]):
            queues[w.JOB_RANK, job] = ranked
            ranked += 1


@inner
def need_of(ints: Ints, g: int, asked: int) -> int:
    """The shot, or the moment, that meets a need when so much of good g has been asked for in all."""
    if ints[ints[t.GOOD_RUN] + g] < 0:
        for supply in range(ints[ints[t.PIECE_PTR] + g], ints[ints[t.PIECE_PTR] + g + 1]):
            if ints[ints[t.PIECE_COUNT] + supply] >= asked:
                return int(ints[ints[t.PIECE_T] + supply])
        return NEVER
    parts = max(0, asked - ints[ints[t.GOOD_STOCK] + g])
    # Q good parts are counted on in N_i shots, evenly: the m-th is there with shot ceil(m N_i / Q)
    q = ints[ints[t.GOOD_NEED] + g]
    return int((parts * ints[ints[t.GOOD_COUNT_SHOTS] + g] + q - 1) // q)


@inner
def refresh(
    ints: Ints, lots: Ints, pieces: Ints, links: Ints, needs: Ints, moments: Ints, sources: Ints, known: Ints,
    asking: Ints,
) -> None:  # fmt: skip
    """Bring moments up to the lots' timing: of run demands with a lot that begins otherwise than when last looked at.

    known (J, 3): press, begin and start of each lot then; a press and a start settle all shots of a lot.
    asking (R + 1, then all needs met by runs): where each run demand's needs stand, and which.
    """
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    for run in range(runs):
        links[run] = -1
        links[runs + run] = -1
    # first lot of each run demand, last, next of each lot, in order of start; the last is forgotten afterwards
    for n in range(lots.shape[0]):
        lot = lots[n, w.ORDER]
        run = ints[ints[t.LOT_RUN] + lot]
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
            lot = links[2 * runs + lot]
        if changed:
            for at in range(asking[run], asking[run + 1]):
                i = asking[at]
                moment_of(ints, lots, pieces, links, ints[ints[t.JOB_GOOD] + i], i, needs, moments, sources)


@inner
def moment_of(
    ints: Ints, lots: Ints, pieces: Ints, links: Ints, g: int, i: int, needs: Ints, moments: Ints, sources: Ints
) -> None:
    """When need i of good g is met (parts: moulded and rested), and by which lot. NEVER if it never is."""
    run = ints[ints[t.GOOD_RUN] + g]
    left = needs[i]
    sources[i] = -1
    if run < 0 or left <= 0:
        moments[i] = left
        return
    runs = ints[t.RUN_TOOL + 1] - ints[t.RUN_TOOL]
    lot = links[run]
    while lot >= 0 and ints[ints[t.LOT_SHOTS] + lot] < left:
        left -= ints[ints[t.LOT_SHOTS] + lot]
        lot = links[2 * runs + lot]
    if lot < 0:
        moments[i] = NEVER
        return
    at = lots[lot, w.PRESS] * runs + run
    den = ints[ints[t.SHOT_DEN] + at]
    work = (left * ints[ints[t.SHOT_NUM] + at] + den - 1) // den
    piece = lots[lot, w.FIRST_PIECE]
    while pieces[piece, w.WORK] < work:
        work -= pieces[piece, w.WORK]
        piece += 1
    sources[i] = lot
    moments[i] = pieces[piece, w.BEGAN] + work + ints[ints[t.GOOD_REST_S] + g]
