"""What changing a press over to a run takes: what is purged out of each barrel and the hot runner behind it, and how.

The one place where a changeover is added up: the evaluator asks it when a press could begin and what it then used, the
estimate of a move what it might cost.
"""

from planner.schedule.instance import Floats, Instance
from planner.schedule.jit import inner
from planner.schedule.press_supply import supplied

AS_PREFERRED, TO_CHOOSE = -1, -2
"""Ways of purging not settled yet: a guess, in barrels as if there always were compound, in hot runners with melt; or
to be chosen, with compound where that is preferred and it is there in time."""

Held = tuple[int, int, int, int]
"""Melts in barrel 1 and 2 and in the tool's hot runner behind each, -1 none."""

Between = tuple[int, float]
"""The material that goes between two melts in a barrel, -1 none, and its kg."""


@inner
def mounting(inst: Instance, mounted: int, tool: int) -> int:
    """Seconds to put a tool into a press with `mounted` in it (-1 none): of its base only the insert is changed."""
    if mounted == tool:
        return 0
    if mounted >= 0 and inst.tool_base[mounted] == inst.tool_base[tool]:
        return int(inst.insert_s[tool])
    return int(inst.mount_s[tool])


@inner
def to_purge(inst: Instance, run: int, held: Held, place: int, b: int) -> int:
    """The melt to be purged before a run out of barrel b (place 0) or the hot runner behind it (1), -1 if none."""
    new, old = inst.run_melt[run, b], held[2 * place + b]
    if new < 0 or old == new or (place == 1 and not inst.hot_runner[inst.run_tool[run], b]):
        return -1
    if old >= 0 and inst.melt_like.size > 0 and inst.melt_like[old] == inst.melt_like[new]:
        return -1
    return old


@inner
def changeover(
    inst: Instance, p: int, run: int, held: Held, ways: int, free: int, used: Floats
) -> tuple[bool, int, int, float, float, float, int, Between, Between]:
    """What is purged before a run on press p: whether anything is; seconds; ways; kg of new melt for barrel 1 and 2
    with their hot runners; kg of compound, and when that is there; what goes between two melts in barrel 1 and 2.

    ways: a bit each purge with compound (barrel 1, barrel 2, hot runner 1, hot runner 2), or one of the above. free:
    when press and tool are; used (K): kg of each material taken before; both to choose by.
    """
    tool = inst.run_tool[run]
    purged = False
    chosen = seconds = moment = 0
    kg_1 = kg_2 = compound_kg = 0.0
    between_1 = between_2 = (-1, 0.0)
    for b in range(2):
        new = inst.run_melt[run, b]
        kg = 0.0
        for place in range(2):
            old = to_purge(inst, run, held, place, b)
            if old < 0:
                continue
            bit = 1 << (2 * place + b)
            purged = True
            asked = 0.0
            if place == 0 and inst.bridging != 0 and inst.bridge[old, new] >= 0:
                between = (inst.bridge[old, new], inst.compound_kg[p, b, old, new])
                if b == 0:
                    between_1 = between
                else:
                    between_2 = between
                chosen |= bit
                seconds += inst.compound_s[p, b, run, old]
                kg += inst.compound_rinse_kg[p, b, old, new]
                continue
            with_compound = ways == TO_CHOOSE or (ways & bit) != 0
            if inst.compound >= 0 and with_compound and not (place == 1 and ways == AS_PREFERRED):
                asked = inst.compound_kg[p, b, old, new] if place == 0 else inst.hot_compound_kg[tool, b, old, new]
            if asked > 0.0 and ways == TO_CHOOSE:
                there = supplied(inst, inst.compound, used[inst.compound] + compound_kg + asked)
                only = inst.compound_only[p, b, old, new] if place == 0 else inst.hot_only[tool, b, old, new]
                if there > free and not only:
                    asked = 0.0
                else:
                    moment = max(moment, there)
            if asked > 0.0:
                chosen |= bit
                compound_kg += asked
                seconds += inst.compound_s[p, b, run, old] if place == 0 else inst.hot_compound_s[p, b, run, old]
                kg += inst.compound_rinse_kg[p, b, old, new] if place == 0 else inst.hot_rinse_kg[tool, b, old, new]
            else:
                seconds += inst.purge_s[p, b, run, old] if place == 0 else inst.hot_s[p, b, run, old]
                kg += inst.purge_kg[p, b, old, new] if place == 0 else inst.hot_kg[tool, b, old, new]
        if b == 0:
            kg_1 = kg
        else:
            kg_2 = kg
    return purged, seconds, chosen, kg_1, kg_2, compound_kg, moment, between_1, between_2
