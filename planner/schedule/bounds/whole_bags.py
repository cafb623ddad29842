"""What whole bags and minimum orders leave over, at the least: material that is short whatever is done is priced once.

Why: where a colour is bought, what the last bag leaves over is often dearer than all that an order of work wastes of
it. On XS, where nothing was proven, 50 to 100 of the 80 to 160 that the bounds were short of were leftovers.

Money for the waste w of a material and for its leftover together is that of the order for what is moulded and wasted,
less what is moulded: it never falls as w grows, for an order covers it. So it is at least that of the least waste, and
whatever else is wasted may then be counted without this material's price. Leftover and price cap each other where there
is regrind (RULES.md, M1: `min(order, order - short + regrind)`); each of the two alone never falls as w grows either.
"""

import numpy as np

from planner.schedule.instance import Bools, Floats, Instance, Ints

SAFE_KG = 1e-5
"""Kg by which two sums of what is used may differ."""


def material_kg(inst: Instance, runs: Ints) -> Floats:
    """(C, K) kg of each material in a shot of each of these runs."""
    kg = np.zeros((runs.size, inst.material_price.size))
    for c, r in enumerate(runs):
        for b, melt in enumerate(inst.run_melt[r]):
            if melt >= 0:
                share = float(inst.melt_master_share[melt])
                kg[c, inst.melt_resin[melt]] += inst.shot_kg[r, b] * (1 - share)
                if inst.melt_master[melt] >= 0:
                    kg[c, inst.melt_master[melt]] += inst.shot_kg[r, b] * share
    return kg


def left_over_kg(inst: Instance, used: Floats) -> Floats:
    """(K) kg left over where so much is used of each material (K), 0 where none must be bought."""
    short = used - SAFE_KG - inst.material_have
    bag = np.maximum(inst.bag_kg, 1e-9)
    order = np.ceil((np.maximum(short, inst.min_order_kg) - SAFE_KG) / bag) * bag
    kept: Floats = np.where(short > SAFE_KG, np.minimum(order, order - short + inst.material_regrind), 0.0)
    return np.maximum(0.0, kept - 2 * SAFE_KG)


def unpriced(inst: Instance, materials: Bools) -> Instance:
    """The instance with waste of these materials (K) at its disposal's price."""
    price = np.where(materials, inst.material_price, 0.0)
    share = inst.melt_master_share
    master = np.where(inst.melt_master >= 0, price[inst.melt_master], 0.0)
    waste = np.maximum(0.0, inst.waste_cost_kg - price[inst.melt_resin] * (1 - share) - master * share)
    compound = inst.compound_cost_kg - (price[inst.compound] if inst.compound >= 0 else 0.0)
    clearing = np.maximum(0.0, inst.clearing_cost_kg - price) if inst.bridging else inst.clearing_cost_kg
    return inst._replace(waste_cost_kg=waste, compound_cost_kg=max(0.0, compound), clearing_cost_kg=clearing)


def _alone(inst: Instance) -> Bools:
    """(R) whether no other run of the same tool has melts that are the same to a press."""
    if not inst.melt_like.size:
        return np.ones(inst.run_tool.size, dtype=np.bool_)
    like = np.append(inst.melt_like, -1)[inst.run_melt]
    key = np.column_stack([inst.run_tool, like])
    _, which, count = np.unique(key, axis=0, return_inverse=True, return_counts=True)
    alone: Bools = count[which.reshape(-1)] == 1
    return alone


def bought_once(inst: Instance) -> Instance:
    """The instance whose plans cost at most what they cost in `inst`, with leftovers and the least waste of bought
    material in its fixed cost, where that is more than the waste that goes without its price."""
    if not inst.run_tool.size:
        return inst
    a_shot = material_kg(inst, np.arange(inst.run_tool.size))
    # every run demand begins with start-up shots: in its changeover, or cold where it needs none; but behind another of
    # its tool whose melts are the same to the press
    least = (a_shot * np.where(_alone(inst), inst.startup_shots, 0)[:, None]).sum(axis=0)
    used = (a_shot * inst.run_shots[:, None]).sum(axis=0) + least
    more = np.isinf(inst.supply_kg[inst.supply_ptr[1:] - 1])
    over = np.where(more, left_over_kg(inst, used), 0.0)
    once = over > least
    money = float(((over + least) * inst.material_price)[once].sum())
    return unpriced(inst, once)._replace(fixed_cost=inst.fixed_cost + money) if once.any() else inst
