"""One press's order by itself, with what it costs to end each lot later or earlier held as the plan has it.

Why: two neighbouring stretches exchanged shift stretches as wholes, and `delay_cost.py` prices those without walking
them. So every exchange can be looked at, not a few drawn at random, until none gains any more; then a random one is
made and it begins again (an iterated local search, after Subramanian, Battarra and Potts, Int. J. Production Research
52(9) 2014; exchanges whose set-ups get much dearer are passed over, after Subramanian and Farias, Computers &
Operations Research 79, 2017; both from memory). On one press with nothing else to wait for that is the whole problem;
elsewhere the exact evaluator judges what comes of it.
"""

from typing import NamedTuple

from planner.schedule.delay_cost import OrderCosts, WaitSums, add_up, shifted
from planner.schedule.instance import Floats, Ints
from planner.schedule.jit import entry, inner
from planner.schedule.rng import State, below

MOST_ALONG = 13
"""Lots in the shorter of two neighbouring stretches exchanged, at most."""

KINDS = MOST_ALONG + 3
"""Ways to look: neighbouring stretches, by the length of the shorter; then two apart of one lot and one, of two and
one, and of two and two."""

FAR = 30
"""Lots in the two stretches exchanged at random together, at most."""

LEARNING = 40
"""Descents in which every exchange is priced, to learn how much dearer set-ups get in those that gain."""

HEARD = 0.7
"""Share of the exchanges that gained whose set-ups got no dearer than those of the exchanges priced from then on."""

SAMPLES = 256
"""Gaining exchanges of each kind whose set-ups are noted, at most."""

LEAST = 1e-7
"""What is less than that is no gain but rounding."""

COUNTS = 4
DESCENTS, SINCE, BETTER, PLACE = range(COUNTS)

VALUES = 2
HERE, BEST = range(VALUES)


class PressOrder(NamedTuple):
    """n lots in the order to be found; with index n: what the press holds before the first."""

    best: Ints  # (n) the best order seen
    kept: Ints  # (n) the order gone on from
    order: Ints  # (n) the order looked at
    ends: Floats  # (n + 1) when the lot at each place ends, in working seconds; at n: when the first may begin
    costs: OrderCosts
    joints: Floats  # (n) how dear the changeover behind each place is; 0 behind the last
    sums: WaitSums
    look: Ints  # (KINDS) 1: this way may still gain
    limits: Floats  # (KINDS) how much dearer set-ups may get
    samples: Floats  # (KINDS, SAMPLES) how much dearer they got in exchanges that gained
    noted: Ints  # (KINDS) how many
    counts: Ints  # (COUNTS) descents, those since the best was found, how often it was; place of the last exchange
    values: Floats  # (VALUES) of the order gone on from, and of the best


@entry
def reorder(o: PressOrder, work: int, rng: State) -> int:
    """Price so many exchanges or a few more, going on where the last call ended. Returns how many were priced."""
    here = _lay(o)
    done = 0
    while done < work:
        number = 0
        for kind in range(KINDS):
            number += o.look[kind]
        if number == 0:
            _end_descent(o, here)
            _shake(o.order, rng)
            here = _lay(o)
            number = _look_anew(o)
        chosen = below(rng, number)
        kind = 0
        while o.look[kind] == 0 or chosen > 0:
            chosen -= o.look[kind]
            kind += 1
        if kind < MOST_ALONG:
            gain, i, j, k, last, priced = _neighbours(o, kind)
        else:
            gain, i, j, k, last, priced = _apart(o, kind)
        done += priced + o.order.size
        if gain < -LEAST:
            _exchange(o.order, i, j, k, last)
            here = _lay(o)
            _look_anew(o)
        else:
            o.look[kind] = 0
    return done


@inner
def _look_anew(o: PressOrder) -> int:
    for kind in range(KINDS):
        o.look[kind] = 1
    return KINDS


@inner
def _lay(o: PressOrder) -> float:
    """Time the order and add up who waits; what it costs."""
    n = o.order.size
    x, behind = o.ends[n], n
    spent = 0.0
    for i in range(n):
        lot = o.order[i]
        x += o.costs.seconds[behind, lot] + o.costs.own[lot]
        spent += o.costs.money[behind, lot]
        o.ends[i] = x
        if i > 0:
            o.joints[i - 1] = o.costs.dear[behind, lot]
        behind = lot
    o.joints[n - 1] = 0.0
    add_up(o.order, o.ends, o.costs, o.sums)
    return spent + shifted(o.sums, 0, 0.0)


@inner
def _end_descent(o: PressOrder, here: float) -> None:
    """Nothing gains any more: go on from here, unless where it came from was better."""
    n = o.order.size
    o.counts[DESCENTS] += 1
    o.counts[SINCE] += 1
    if here < o.values[BEST] - LEAST:
        o.values[BEST] = here
        o.counts[SINCE] = 0
        o.counts[BETTER] += 1
        for i in range(n):
            o.best[i] = o.order[i]
    if here <= o.values[HERE] + LEAST:
        o.values[HERE] = here
        for i in range(n):
            o.kept[i] = o.order[i]
    else:
        for i in range(n):
            o.order[i] = o.kept[i]
    if o.counts[DESCENTS] == LEARNING:
        for kind in range(KINDS):
            o.limits[kind] = _quantile(o.samples, kind, o.noted[kind])


@inner
def _quantile(samples: Floats, kind: int, number: int) -> float:
    """The largest of the HEARD smaller samples; at least 0."""
    most = 0.0
    for a in range(number):
        less = 0
        for b in range(number):
            if samples[kind, b] < samples[kind, a]:
                less += 1
        if less <= HEARD * number:
            most = max(most, samples[kind, a])
    return most


@inner
def _shake(order: Ints, rng: State) -> None:
    """Exchange two neighbouring stretches at random."""
    n = order.size
    span = min(n, 2 + below(rng, FAR - 1))
    i = below(rng, n - span + 1)
    j = i + below(rng, span - 1)
    _exchange(order, i, j, i + span - 1, -1)


@inner
def _neighbours(o: PressOrder, kind: int) -> tuple[float, int, int, int, int, int]:
    """Of neighbouring stretches, the shorter of kind + 1 lots, what gains most at the first place where one does,
    from the place of the last exchange on. Looking at all places for the one that gains most took longer: with
    wt_sds_1, 10 to 12 processor seconds of this alone ended at 459, 459, 456 (seeds 1 to 3), now at 453, 453, 459, 453.

    (change, first and last place of the first stretch, last place of the second, -1; how many were priced).
    """
    order, dear, joints, limit = o.order, o.costs.dear, o.joints, o.limits[kind]
    n, long = order.size, kind + 1
    gain = 0.0
    a = b = c = priced = 0
    for turn in range(n - long):
        i = (o.counts[PLACE] + turn) % (n - long)
        now = shifted(o.sums, i, 0.0)
        one = order[i]
        behind = order[i - 1] if i > 0 else n
        for second_shorter in range(2):
            first = i + 2 * long - 1 if second_shorter == 0 else i + 2 * long
            for k in range(first, n):
                j = i + long - 1 if second_shorter == 0 else k - long
                dearer = dear[behind, order[j + 1]] - dear[behind, one] - joints[j]
                dearer += dear[order[k], one] - joints[k]
                if k + 1 < n:
                    dearer += dear[order[j], order[k + 1]]
                if dearer <= limit:
                    priced += 1
                    change = _price(o, i, j, k) - now
                    if change < -LEAST:
                        _note(o, kind, dearer)
                    if change < gain:
                        gain = change
                        a, b, c = i, j, k
        if gain < -LEAST:
            o.counts[PLACE] = i
            break
    return gain, a, b, c, -1, priced


@inner
def _apart(o: PressOrder, kind: int) -> tuple[float, int, int, int, int, int]:
    """The same of two stretches apart, but with first and last place of the second."""
    order, limit = o.order, o.limits[kind]
    n = order.size
    one = 1 if kind == MOST_ALONG else 2
    other = 2 if kind == MOST_ALONG + 2 else 1
    gain = 0.0
    a = b = c = d = priced = 0
    for turn in range(n):
        i = (o.counts[PLACE] + turn) % n
        now = shifted(o.sums, i, 0.0)
        for turned in range(2 if one != other else 1):
            j = i + (one if turned == 0 else other) - 1
            long = other if turned == 0 else one
            for k in range(j + 2, n - long + 1):
                last = k + long - 1
                dearer = _dearer_apart(o, i, j, k, last)
                if dearer <= limit:
                    priced += 1
                    change = _price_apart(o, i, j, k, last) - now
                    if change < -LEAST:
                        _note(o, kind, dearer)
                    if change < gain:
                        gain = change
                        a, b, c, d = i, j, k, last
        if gain < -LEAST:
            o.counts[PLACE] = i
            break
    return gain, a, b, c, d, priced


@inner
def _note(o: PressOrder, kind: int, dearer: float) -> None:
    """How much dearer set-ups got in an exchange that gained."""
    if o.noted[kind] < SAMPLES:
        o.samples[kind, o.noted[kind]] = dearer
        o.noted[kind] += 1


@inner
def _dearer_apart(o: PressOrder, i: int, j: int, k: int, last: int) -> float:
    """How much dearer set-ups get by exchanging the stretches i to j and k to last."""
    order, dear, joints = o.order, o.costs.dear, o.joints
    n = order.size
    behind = order[i - 1] if i > 0 else n
    change = dear[behind, order[k]] + dear[order[last], order[j + 1]] + dear[order[k - 1], order[i]]
    change -= dear[behind, order[i]] + joints[j] + joints[k - 1] + joints[last]
    if last + 1 < n:
        change += dear[order[j], order[last + 1]]
    return float(change)


@inner
def _price(o: PressOrder, i: int, j: int, k: int) -> float:
    """What the lots from place i on cost, beside their set-ups as they are, with the stretches i to j and j + 1 to k
    exchanged."""
    order, ends, costs = o.order, o.ends, o.costs
    seconds, money, own = costs.seconds, costs.money, costs.own
    n = order.size
    behind = order[i - 1] if i > 0 else n
    one, one_end, two, two_end = order[i], order[j], order[j + 1], order[k]
    later = ends[i - 1 if i > 0 else n] + seconds[behind, two] + own[two] - ends[j + 1]
    total = money[behind, two] + money[two_end, one] - money[behind, one] - money[one_end, two]
    total += _stretch(o, j + 1, k, later)
    later = ends[k] + later + seconds[two_end, one] + own[one] - ends[i]
    total += _stretch(o, i, j, later)
    if k + 1 < n:
        follows = order[k + 1]
        later = ends[j] + later + seconds[one_end, follows] + own[follows] - ends[k + 1]
        total += money[one_end, follows] - money[two_end, follows]
        total += shifted(o.sums, k + 1, later)
    return float(total)


@inner
def _price_apart(o: PressOrder, i: int, j: int, k: int, last: int) -> float:
    """The same with the stretches i to j and k to last exchanged."""
    order, ends, costs = o.order, o.ends, o.costs
    seconds, money, own = costs.seconds, costs.money, costs.own
    n = order.size
    behind = order[i - 1] if i > 0 else n
    one, one_end, two, two_end = order[i], order[j], order[k], order[last]
    middle, middle_end = order[j + 1], order[k - 1]
    total = money[behind, two] + money[two_end, middle] + money[middle_end, one]
    total -= money[behind, one] + money[one_end, middle] + money[middle_end, two]
    later = ends[i - 1 if i > 0 else n] + seconds[behind, two] + own[two] - ends[k]
    total += _stretch(o, k, last, later)
    later = ends[last] + later + seconds[two_end, middle] + own[middle] - ends[j + 1]
    total += _stretch(o, j + 1, k - 1, later)
    later = ends[k - 1] + later + seconds[middle_end, one] + own[one] - ends[i]
    total += _stretch(o, i, j, later)
    if last + 1 < n:
        follows = order[last + 1]
        later = ends[j] + later + seconds[one_end, follows] + own[follows] - ends[last + 1]
        total += money[one_end, follows] - money[two_end, follows]
        total += shifted(o.sums, last + 1, later)
    return float(total)


@inner
def _stretch(o: PressOrder, first: int, last: int, later: float) -> float:
    """What the lots of a stretch cost if all are so much later."""
    behind = shifted(o.sums, last + 1, later)
    return float(shifted(o.sums, first, later) - behind)


@inner
def _exchange(order: Ints, i: int, j: int, k: int, last: int) -> None:
    """Exchange the stretches i to j and j + 1 to k (last -1), or i to j and k to last."""
    end = k if last < 0 else last
    _turn(order, i, j)
    if last < 0:
        _turn(order, j + 1, k)
    else:
        _turn(order, j + 1, k - 1)
        _turn(order, k, last)
    _turn(order, i, end)


@inner
def _turn(order: Ints, a: int, b: int) -> None:
    """Turn a stretch round."""
    while a < b:
        order[a], order[b] = order[b], order[a]
        a += 1
        b -= 1
