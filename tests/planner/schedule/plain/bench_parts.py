"""When moulded parts are there: rested, counted on, back from where they were sent."""

from itertools import chain

from planner.schedule.instance import NEVER
from tests.planner.schedule.plain.workshop import Workshop


def good_there(shop: Workshop) -> dict[int, list[int]]:
    """Of each moulded good: the moment its m-th part beyond stock is there, rested."""
    inst = shop.inst
    there = {}
    for g, run in enumerate(inst.good_run):
        if run < 0:
            continue
        if inst.several and inst.first_source[g] < inst.last_source[g]:
            sources = range(int(inst.first_source[g]), int(inst.last_source[g]))
            if inst.sent_out and not inst.good_lot[g] and any(_travels(shop, s) for s in (g, *sources)):
                there[g] = sorted(chain.from_iterable([_in_hand(shop, g), *(_come(shop, g, s) for s in sources)]))
                continue
            made = [_made(shop, s) for s in sources]
            rested = [moment + int(inst.good_rest_s[g]) for moment in sorted(chain.from_iterable(made))]
            there[g] = _travelled(shop, g, rested, len(rested)) if inst.sent_out else rested
            continue
        done = sorted(
            moment for lot, what in shop.lots.items() if inst.lot_run[lot] == run for moment in what.shots_done
        )
        q, counting = int(inst.good_need[g]), int(inst.good_count_shots[g])
        moments: list[int] = []
        for n, moment in enumerate(done, start=1):
            counted_on = min(q, n * q // counting)
            moments += [moment + int(inst.good_rest_s[g])] * (counted_on - len(moments))
        there[g] = _travelled(shop, g, moments, q) if inst.sent_out else moments
    return there


def _travels(shop: Workshop, g: int) -> bool:
    return bool(shop.inst.trip_ptr[g] < shop.inst.trip_ptr[g + 1])


def _in_hand(shop: Workshop, g: int) -> list[int]:
    """Of a good that comes from several places, when those come that are in hand at one of them."""
    return _travelled(shop, g, [], 0) if shop.inst.good_moulded[g] else []


def _come(shop: Workshop, g: int, source: int) -> list[int]:
    """Of what one of several tools makes of a good, when each part has rested, and come in lots of its own."""
    rested = [moment + int(shop.inst.good_rest_s[g]) for moment in _made(shop, source)]
    return _travelled(shop, source, rested, len(rested))


def _made(shop: Workshop, source: int) -> list[int]:
    """Of what one of several tools makes of a good: the moment its m-th part is counted on."""
    inst = shop.inst
    q, counting = int(inst.good_need[source]), int(inst.good_count_shots[source])
    done = sorted(
        moment
        for lot, what in shop.lots.items()
        if inst.lot_run[lot] == inst.good_run[source]
        for moment in what.shots_done
    )
    counted = [(n * q // counting, moment) for n, moment in enumerate(done, start=1)]
    return [next(moment for parts, moment in counted if parts >= m) for m in range(1, q + 1)]


def _travelled(shop: Workshop, g: int, moments: list[int], needed: int) -> list[int]:
    """Those in hand first; each part comes back with its lot."""
    inst = shop.inst
    at_hand = [0] * int(inst.good_moulded[g]) + moments + [NEVER] * (needed - len(moments))
    size = min(len(at_hand), int(inst.good_lot[g])) or 1
    trips = [(int(inst.trip_leaves[k]), int(inst.trip_back[k])) for k in range(inst.trip_ptr[g], inst.trip_ptr[g + 1])]
    back = []
    for begin in range(0, len(at_hand), size):
        lot = at_hand[begin : begin + size]
        comes = max(lot)
        if trips:
            comes = next((returns for leaves, returns in trips if leaves >= comes), NEVER)
        back += [comes] * len(lot)
    return back
