"""When the material of a run has come, dried and ready."""

from planner.schedule.instance import NEVER, Floats, Instance
from planner.schedule.jit import inner

Between = tuple[int, float]
"""As in `changeover.py`: a material, -1 none, and its kg."""

PerBarrel = tuple[float, float]
"""Kg in the first barrel and in the second."""


@inner
def material_moment(inst: Instance, used: Floats, run: int, shots: int, purge: PerBarrel) -> int:
    """When all the material of a run is there: what was used before, its own shots, and its purge."""
    moment = 0
    # materials of the run: resin and masterbatch of barrel 1, then of barrel 2, each with the kg asked of it
    for b in range(2):
        melt = inst.run_melt[run, b]
        if melt < 0:
            continue
        for kind in range(2):
            material = inst.melt_resin[melt] if kind == 0 else inst.melt_master[melt]
            if material < 0:
                continue
            own = 0.0
            for c in range(b + 1):
                other = inst.run_melt[run, c]
                kg = shots * inst.shot_kg[run, c] + purge[c]
                share = inst.melt_master_share[other]
                if inst.melt_resin[other] == material:
                    own += kg * (1 - share)
                if inst.melt_master[other] == material:
                    own += kg * share
            moment = max(moment, supplied(inst, material, used[material] + own))
    return moment


@inner
def clearing_moment(
    inst: Instance, used: Floats, p: int, run: int, shots: int, purge: PerBarrel, between: tuple[Between, Between]
) -> int:
    """When there is all that clears barrels for a run on press p, with what the run itself takes of it: what goes
    between melts before it, and what clears its own at its first closing."""
    moment = 0
    for n in range(4):
        b = n & 1
        melt = inst.run_melt[run, b]
        if n < 2:
            material = between[b][0]
        else:
            material = -1 if inst.left_melt[run, b] == melt else inst.melt_resin[inst.left_melt[run, b]]
        if material < 0:
            continue
        own = 0.0
        for c in range(2):
            if between[c][0] == material:
                own += between[c][1]
        for c in range(2):
            other = inst.run_melt[run, c]
            if other < 0:
                continue
            kg = shots * inst.shot_kg[run, c] + purge[c]
            share = inst.melt_master_share[other]
            if inst.melt_resin[other] == material:
                own += kg * (1 - share)
            if inst.melt_master[other] == material:
                own += kg * share
            left = inst.left_melt[run, c]
            if left != other and inst.melt_resin[left] == material:
                own += inst.closing_kg[p, run, c]
        moment = max(moment, supplied(inst, material, used[material] + own))
    return moment


@inner
def supplied(inst: Instance, material: int, kg: float) -> int:
    """When `kg` of a material have come in all, dried and ready; NEVER where they never do."""
    for step in range(inst.supply_ptr[material], inst.supply_ptr[material + 1]):
        if inst.supply_kg[step] >= kg - 1e-9:
            return int(inst.supply_t[step])
    return NEVER
