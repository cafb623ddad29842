"""A plan carried out as early as the rules allow, and what it is worth."""

from planner.schedule.instance import Instance
from tests.planner.schedule.plain.bench_decoder import benches, dispatches
from tests.planner.schedule.plain.press_charges import close_bill
from tests.planner.schedule.plain.press_decoder import begin_lot
from tests.planner.schedule.plain.press_start import next_start
from tests.planner.schedule.plain.press_supply import leftovers
from tests.planner.schedule.plain.press_wishes import count_broken, held_back
from tests.planner.schedule.plain.workshop import Result, Workshop


def carried_out(inst: Instance, sequences: list[list[int]], order: list[int]) -> Result:
    """Carry out a plan as early as the rules allow. Raises CannotBeDone."""
    shop = Workshop(inst, sequences)
    while any(p.to_do for p in shop.presses):
        to_do = [p for p in shop.presses if p.to_do]
        may = [p for p in to_do if not held_back(shop, p)]
        if not may:
            shop.broken += 1
        starts = [(next_start(shop, p), p.number) for p in may or to_do[:1]]
        moment, number = min(starts)
        begin_lot(shop, shop.presses[number], moment)
    for number in range(len(shop.presses)):
        close_bill(shop, number)
    leftovers(shop)
    count_broken(shop)
    job_ends, batch_ends, packed = benches(shop, order)
    pickups = dispatches(shop, batch_ends, packed)
    cost = shop.inst.fixed_cost + sum(shop.lines.values())
    kg = shop.purge_kg, shop.startup_kg
    return Result(shop.lots, shop.lines, *kg, job_ends, batch_ends, pickups, cost, shop.broken)


def objective(inst: Instance, result: Result) -> float:
    """Weigh the result by the instance's aim."""
    moments = {b: int(inst.pickup_t[k]) for b, k in result.pickups.items()}
    weight = sum(float(inst.batch_weight[b]) for b in moments)
    mean = sum(float(inst.batch_weight[b]) * t for b, t in moments.items()) / weight if weight else 0.0
    return float(
        inst.aim_cost * result.cost
        + inst.aim_last * max(moments.values(), default=0) / 86400
        + inst.aim_mean * mean / 86400
        + inst.aim_waste * (result.purge_kg + result.startup_kg)
        + inst.wish_cost * result.broken
    )
