"""What no plan can undercut as it is told, and the bound of it that costs nothing: no solver is loaded for it."""

from dataclasses import dataclass, replace

from planner.schedule.bounds.work import production_cost
from planner.schedule.instance import ANYWHERE, Instance


@dataclass(frozen=True)
class LowerBound:
    """What no plan can undercut. presses, late, total: money of the presses' lines, of lateness, and of the whole with
    the fixed cost; basis: why, in words. waste_kg, last_s: purge and start-up kg, seconds to the last dispatch, each
    where that is the aim, with its own basis.
    """

    presses: float
    late: float
    total: float
    basis: str
    waste_kg: float = 0.0
    waste_basis: str = ""
    last_s: int = 0
    last_basis: str = ""


def higher(one: LowerBound, other: LowerBound) -> LowerBound:
    """Of each figure the higher one that either knows of the same plans; presses' and late money of the first."""
    found = one if one.total >= other.total else replace(one, total=other.total, basis=other.basis)
    if other.waste_kg > found.waste_kg:
        found = replace(found, waste_kg=other.waste_kg, waste_basis=other.waste_basis)
    if other.last_s > found.last_s:
        found = replace(found, last_s=other.last_s, last_basis=other.last_basis)
    return found


def beforehand(inst: Instance) -> LowerBound:
    """The bound that costs nothing: press hours of all shots."""
    if inst.several:
        return _over_shares(inst)
    presses = production_cost(inst)
    return LowerBound(
        presses, 0.0, inst.fixed_cost + presses, "press hours of all shots with the warm-ups closing forces"
    )


def _over_shares(inst: Instance) -> LowerBound:
    """What no plan undercuts whoever makes how many, where several tools make a part: worked out beforehand."""
    if inst.several == ANYWHERE:
        basis = "wherever tools work that may go to several places, and whoever makes how many: the least of each way"
        return LowerBound(max(0.0, inst.several_bound - inst.fixed_cost), 0.0, inst.several_bound, basis)
    basis = (
        "whoever makes how many: the cheapest shots that mould enough, one changeover to each tool or group of tools "
        "in each colour, batches that no plan can send in time"
    )
    return LowerBound(max(0.0, inst.several_bound - inst.fixed_cost), 0.0, inst.several_bound, basis)
