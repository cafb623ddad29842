"""Wishes for runs: what is held back by them, and what is broken."""

from tests.planner.schedule.plain.workshop import Press, Workshop


def held_back(shop: Workshop, press: Press) -> bool:
    """Whether its next run waits, by a wish, for one that is not done."""
    inst = shop.inst
    if not inst.wishing:
        return False
    return any(inst.run_after[inst.lot_run[press.to_do[0]], run] for run in shop.still_to_come)


def wished_moment(shop: Workshop, run: int) -> int:
    """The moment before which wishes let no lot of a run begin. Where it goes before what it should wait for, since
    nothing else can begin, its parts' rest counts from the start: such a plan is never told."""
    inst = shop.inst
    if not inst.wishing:
        return 0
    waits_for = [one for one in range(len(inst.run_until)) if inst.run_after[run, one]]
    done = [shop.done_at.get(one, 0) + int(inst.after_rest[run, one]) for one in waits_for]
    return max([int(inst.run_from[run]), *done])


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
