"""When a run's material is there, and what is left over in the end (RULES.md, R16)."""

from math import ceil, isinf

from tests.planner.schedule.plain.workshop import CannotBeDone, Workshop


def material_there(
    shop: Workshop, press: int, run: int, shots: int, purge: dict[int, float], more: dict[int, float]
) -> int:
    """When a run's own material is there; more: by material, what clears barrels before it."""
    wanted = dict(more)
    for b, melt in shop.left(run).items():
        for material, kg in shop.melt_use(melt, float(shop.inst.closing_kg[press, run, b])):
            wanted[material] = wanted.get(material, 0.0) + kg
    for b, melt in shop.melts(run):
        for material, kg in shop.melt_use(melt, shots * float(shop.inst.shot_kg[run, b]) + purge.get(b, 0.0)):
            wanted[material] = wanted.get(material, 0.0) + kg
    latest = 0
    for material, kg in wanted.items():
        steps = range(shop.inst.supply_ptr[material], shop.inst.supply_ptr[material + 1])
        moments = [
            int(shop.inst.supply_t[s])
            for s in steps
            if shop.inst.supply_kg[s] >= float(shop.used[material]) + kg - 1e-9
        ]
        if not moments:
            raise CannotBeDone
        latest = max(latest, min(moments))
    return latest


def leftovers(shop: Workshop) -> None:
    inst = shop.inst
    for m, used in enumerate(shop.used):
        short = float(used) - float(inst.material_have[m])
        if short > 1e-6:
            if not isinf(inst.supply_kg[inst.supply_ptr[m + 1] - 1]):
                raise CannotBeDone
            bags = ceil((max(short, float(inst.min_order_kg[m])) - 1e-6) / float(inst.bag_kg[m]))
            bought = bags * float(inst.bag_kg[m])
            unused = min(bought, bought - short + float(inst.material_regrind[m]))
            shop.lines["leftover"] += unused * float(inst.material_price[m])
