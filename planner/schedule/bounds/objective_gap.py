"""What the search aims at beside money, and how near to its own bound it came."""

from dataclasses import dataclass, replace
from typing import Literal

from planner.schedule import timing as w
from planner.schedule.bounds.avoidable import relative_gap
from planner.schedule.bounds.press_hours import LowerBound
from planner.schedule.bounds.undercut import A_MILLIGRAM
from planner.schedule.instance import Floats, Instance

DAY_S = 86400


@dataclass(frozen=True)
class AimMet:
    """value, bound: kg of waste (with a rate, plus so many kg for each day to the last dispatch), or days to the last
    dispatch; no plan has less than the bound, for the reason `basis` names."""

    unit: Literal["kg", "days"]
    value: float
    bound: float
    basis: str

    @property
    def gap(self) -> float:
        return relative_gap(self.value, self.bound)


def unbounded(aim: AimMet | None) -> AimMet | None:
    """The same with no bound of it."""
    return None if aim is None else replace(aim, bound=0.0, basis="nothing")


def aim_as_written(inst: Instance, totals: Floats, aim: AimMet | None) -> AimMet | None:
    """What a plan as it is written down has of the aim the search met: joining lots can save a restart."""
    if aim is None:
        return None
    value = _has(inst, totals)
    return replace(aim, value=value, bound=min(value, aim.bound))


def aim_undercut(inst: Instance, totals: Floats, aim: AimMet) -> str:
    """Why the bound of an aim is wrong where a plan with these totals has less of it; "": it may be right."""
    value = _has(inst, totals)
    if aim.bound <= value + A_MILLIGRAM:
        return ""
    return f"it said that no plan has less than {aim.bound:.6f} {aim.unit} of what is aimed at, and one has {value:.6f}"


def cost_is_the_aim(inst: Instance) -> bool:
    """Whether money is what is aimed at."""
    return inst.aim_cost == 1.0 and inst.aim_last == 0.0 and inst.aim_waste == 0.0


def last_is_all(inst: Instance) -> bool:
    """Whether nothing but the last dispatch counts, not even between equals."""
    return inst.aim_last > 0.0 and inst.aim_cost == inst.aim_waste == inst.aim_mean == 0.0


def last_is_the_aim(inst: Instance) -> bool:
    """Whether the last dispatch is what is aimed at; the mean one and money may decide between equals."""
    return inst.aim_last > 0.0 and inst.aim_waste == 0.0


def aim_met(inst: Instance, totals: Floats, lowest: LowerBound) -> AimMet | None:
    """Of a plan with these totals; None where money is the aim."""
    if cost_is_the_aim(inst) or inst.aim_waste == inst.aim_last == 0.0:
        return None
    value, least_days = _has(inst, totals), lowest.last_s / DAY_S
    if inst.aim_waste == 0.0:
        return AimMet("days", value, min(value, least_days), lowest.last_basis)
    rate = inst.aim_last / inst.aim_waste
    basis = "; ".join(why for why in (lowest.waste_basis, lowest.last_basis if rate else "") if why)
    return AimMet("kg", value, min(value, lowest.waste_kg + rate * least_days), basis)


def _has(inst: Instance, totals: Floats) -> float:
    """Days to the last dispatch; with least waste kg, and what its days are worth."""
    days = float(totals[w.LAST]) / DAY_S
    if inst.aim_waste == 0.0:
        return days
    return float(totals[w.PURGE_TOTAL_KG] + totals[w.STARTUP_TOTAL_KG]) + inst.aim_last / inst.aim_waste * days
