"""When the material of a run has come, dried and ready."""

from planner.schedule.instance import NEVER, Floats, Instance
from planner.schedule.jit import inner


@inner
def material_moment(inst: Instance, used: Floats, run: int, shots: int, purge_1: float, purge_2: float) -> int:
    """When all the material of a run is there: what was used before, its own shots, and its purge (kg per barrel)."""
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
                kg = shots * inst.shot_kg[run, c] + (purge_1 if c == 0 else purge_2)
                share = inst.melt_master_share[other]
                if inst.melt_resin[other] == material:
                    own += kg * (1 - share)
                if inst.melt_master[other] == material:
                    own += kg * share
            moment = max(moment, supplied(inst, material, used[material] + own))
    return moment


@inner
def supplied(inst: Instance, material: int, kg: float) -> int:
    """When `kg` of a material have come in all, dried and ready; NEVER where they never do."""
    for step in range(inst.supply_ptr[material], inst.supply_ptr[material + 1]):
        if inst.supply_kg[step] >= kg - 1e-9:
            return int(inst.supply_t[step])
    return NEVER
