"""Wishes for runs: what is held back by them, and what is broken."""

from planner.schedule.instance import NEVER
from tests.planner.schedule.plain.workshop import CannotBeDone, Press, Workshop


def held_back(shop: Workshop, press: Press) -> bool:
    """Whether its next run waits, by a wish, for one that is not done."""
    inst = shop.inst
    if not inst.wishing:
        return False
    run = int(inst.lot_run[press.to_do[0]])
    if any(inst.run_after[run, other] for other in shop.still_to_come):
        return True
    if press.broken_off is not None:
        return False
    return any(inst.good_run[g] >= 0 and there is None for g, there in _for_its_mould(shop, press))


def wished_moment(shop: Workshop, press: Press) -> int:
    """The moment before which wishes, and what goes into its mould, let a press's next lot not begin. Where it goes
    before what it should wait for, since nothing else can begin, its parts' rest counts from the start: such a plan is
    never told."""
    inst = shop.inst
    if not inst.wishing:
        return 0
    run = int(inst.lot_run[press.to_do[0]])
    waits_for = [one for one in range(len(inst.run_until)) if inst.run_after[run, one]]
    done = [shop.done_at.get(one, 0) + int(inst.after_rest[run, one]) for one in waits_for]
    if press.broken_off is None:
        for g, there in _for_its_mould(shop, press):
            if there is not None:
                done.append(there)
            elif inst.good_run[g] < 0:
                raise CannotBeDone
    return max([int(inst.run_from[run]), *done])


def _for_its_mould(shop: Workshop, press: Press) -> list[tuple[int, int | None]]:
    """Goods that a press's next lot takes at the shot, and when all it takes is there beside what others took; None
    where that is not known yet, or never."""
    inst, lot = shop.inst, press.to_do[0]
    if not inst.over_good.size:
        return []
    found: list[tuple[int, int | None]] = []
    run = int(inst.lot_run[lot])
    for at in range(int(inst.over_ptr[run]), int(inst.over_ptr[run + 1])):
        g, number = int(inst.over_good[at]), int(inst.over_number[at])
        taken = sum(
            int(inst.lot_shots[other]) * int(inst.over_number[k])
            for other in shop.lots
            for k in range(int(inst.over_ptr[inst.lot_run[other]]), int(inst.over_ptr[inst.lot_run[other] + 1]))
            if inst.over_good[k] == g
        )
        wanted = min(taken + number * int(inst.lot_shots[lot]), int(inst.over_total[g]))
        found.append((g, _moment_of(shop, g, wanted)))
    return found


def _moment_of(shop: Workshop, g: int, wanted: int) -> int | None:
    """When so many of a good have come, or are moulded and rested, in all."""
    inst = shop.inst
    kept = int(inst.over_total[g])  # what moulds take stands in none of the benches' stock
    if inst.good_run[g] < 0:
        steps = range(int(inst.piece_ptr[g]), int(inst.piece_ptr[g + 1]))
        come = [int(inst.piece_t[n]) for n in steps if inst.piece_count[n] + kept >= wanted and inst.piece_t[n] < NEVER]
        return min(come, default=None)
    missing = wanted - kept - int(inst.good_stock[g])
    if missing <= 0:
        return 0
    if inst.sent_out and inst.good_lot[g]:
        return _brought(shop, g, missing)
    if inst.several and inst.first_source[g] < inst.last_source[g]:
        return _of_all_tools(shop, g, missing)
    lots = [what for lot, what in shop.lots.items() if inst.lot_run[lot] == inst.good_run[g]]
    moments = sorted(moment for what in lots for moment in what.shots_done)
    q, counting = int(inst.good_need[g]), int(inst.good_count_shots[g])
    done = (moment for n, moment in enumerate(moments, start=1) if n * q // counting >= missing)
    first = next(done, None)
    return None if first is None else first + int(inst.good_rest_s[g])


def _of_all_tools(shop: Workshop, g: int, missing: int) -> int | None:
    """The same where several tools make a good, which goes nowhere: the m-th part of all that are counted on, in order
    of time."""
    inst, counted = shop.inst, list[int]()
    for source in range(int(inst.first_source[g]), int(inst.last_source[g])):
        lots = [what for lot, what in shop.lots.items() if inst.lot_run[lot] == inst.good_run[source]]
        q, counting, parts = int(inst.good_need[source]), int(inst.good_count_shots[source]), 0
        for n, moment in enumerate(sorted(m for what in lots for m in what.shots_done), start=1):
            by_then = min(q, n * q // counting)
            counted += [moment] * (by_then - parts)
            parts = max(parts, by_then)
    counted.sort()
    return counted[missing - 1] + int(inst.good_rest_s[g]) if missing <= len(counted) else None


def _brought(shop: Workshop, g: int, missing: int) -> int | None:
    """The same where parts come in lots from another place, those in hand there first: the m-th with all of its lot."""
    inst = shop.inst
    moulded, q = int(inst.good_moulded[g]), int(inst.good_need[g])
    size = int(inst.good_lot[g])
    lot_full = min(-(-missing // size) * size, moulded + q) if size else missing
    lots = [what for lot, what in shop.lots.items() if inst.lot_run[lot] == inst.good_run[g]]
    moments = sorted(moment for what in lots for moment in what.shots_done)
    complete = 0
    if lot_full > moulded:
        beyond, counting = lot_full - moulded, int(inst.good_count_shots[g])
        first = next((m for n, m in enumerate(moments, start=1) if n * q // counting >= beyond), None)
        if first is None:
            return None
        complete = first + int(inst.good_rest_s[g])
    trips = range(int(inst.trip_ptr[g]), int(inst.trip_ptr[g + 1]))
    if not trips:
        return complete
    return next((int(inst.trip_back[n]) for n in trips if inst.trip_leaves[n] >= complete), None)


def count_broken(shop: Workshop) -> None:
    """Hours too late and one each time, pairs in the wrong order, and what stands between or apart."""
    inst = shop.inst
    if not inst.wishing:
        return
    orders: list[list[int]] = [[] for _ in shop.presses]
    for _, lot in shop.began:
        if lot not in orders[shop.lots[lot].press]:
            orders[shop.lots[lot].press].append(lot)
    for p, lots in enumerate(orders):
        for n, lot in enumerate(lots):
            run = int(inst.lot_run[lot])
            late = shop.lots[lot].end + int(inst.closing_s[p, run]) - int(inst.run_until[run])
            shop.broken += 1 + late / 3600 if late > 0 else 0
            shop.broken += sum(bool(inst.run_ahead[p, run, inst.lot_run[before]]) for before in lots[:n])
    for wish in inst.together:
        marks = [[bool(wish[inst.lot_run[lot]]) for lot in lots] for lots in orders]
        for mine in marks:
            if any(mine):
                within = mine[mine.index(True) : len(mine) - mine[::-1].index(True)]
                shop.broken += within.count(False)
        shop.broken += sum(map(sum, marks)) - max(map(sum, marks))
