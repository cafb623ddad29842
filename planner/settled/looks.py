"""How colours are once it is settled: what purges, start-ups and bags then are, by outcome (RULES.md, S10.3)."""

from collections.abc import Mapping
from typing import Any

import numpy as np

from planner.campaign.uncertainty import Recipe
from planner.schedule.encode import Names, compile_campaign
from planner.schedule.expected.scenarios import NO_LOOKS, NOTHING, Looks
from planner.schedule.instance import Instance, Ints
from planner.schedule.packed import pack
from planner.settled.recipes import recoloured
from planner.settled.things import things

Recipes = Mapping[str, Recipe]


def look_of(inst: Instance, names: Names, recipes: Recipes) -> dict[str, Any]:
    """Fields of the instance that are others with these recipes."""
    if not recipes:
        return {}
    there, then = compile_campaign(recoloured(names.campaign, recipes), names.refused)
    found = {name: getattr(there, name) for name in Looks._fields}
    price = dict(zip(then.materials, there.material_price.tolist(), strict=True))
    known = zip(names.materials, inst.material_price.tolist(), strict=True)
    found["material_price"] = np.array([price.get(material, own) for material, own in known])
    found["melt_like"] = there.melt_like if there.melt_like.size else np.arange(inst.waste_cost_kg.size)
    # a colour that needs masterbatch only with its other recipe: there is none of it to count
    found["melt_master_share"] = np.where(inst.melt_master < 0, inst.melt_master_share, there.melt_master_share)
    return found


class ByOutcome:
    """The looks of a campaign, each worked out when it is first met."""

    def __init__(self, inst: Instance, names: Names) -> None:
        self._inst, self._names = inst, names
        self._things = [thing for thing in things(names.campaign) if any(turn.recipes for turn in thing.turns)]
        self._known: dict[tuple[int, ...], dict[str, Any]] = {}

    def told(self, turned: Mapping[str, Ints]) -> tuple[Ints, Looks]:
        """(K) number of the look in each scenario, -1 as planned; and all looks. turned: how things turn out."""
        open_ = [thing for thing in self._things if thing.id in turned]
        if not open_:
            return NOTHING, NO_LOOKS
        ways, which = np.unique(np.stack([turned[thing.id] for thing in open_], axis=1), axis=0, return_inverse=True)
        number, looks = np.full(len(ways), -1, dtype=np.int64), list[dict[str, Any]]()
        for n, way in enumerate(ways.tolist()):
            recipes = {name: one for t, at in zip(open_, way, strict=True) for name, one in t.turns[at].recipes.items()}
            if recipes:
                number[n] = len(looks)
                looks.append(self._look(tuple(way), recipes))
        if not looks:
            return NOTHING, NO_LOOKS
        stacked = {name: np.ascontiguousarray(np.stack([look[name] for look in looks])) for name in Looks._fields}
        return number[which.reshape(-1)], pack(Looks(**stacked))

    def _look(self, way: tuple[int, ...], recipes: Recipes) -> dict[str, Any]:
        if way not in self._known:
            self._known[way] = look_of(self._inst, self._names, recipes)
        return self._known[way]
