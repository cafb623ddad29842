"""What a plan throws away or has left over, in kilograms, parts and money."""

from dataclasses import dataclass
from math import fsum

from planner.plan import RunPlan


@dataclass(frozen=True)
class Waste:
    """Masses kg, money in the plan's currency. surplus: expected good parts beyond what is to be moulded."""

    purge_kg: float
    startup_kg: float
    regrind_kg: float
    purge_money: float
    startup_money: float
    disposal_money: float
    unused_money: float
    surplus: float

    @property
    def kg(self) -> float:
        """Purge and start-up together."""
        return self.purge_kg + self.startup_kg

    @property
    def money(self) -> float:
        """Material shot to waste and getting rid of it."""
        return self.purge_money + self.startup_money + self.disposal_money


def waste_of(plan: RunPlan) -> Waste:
    """Added up from the plan's own lines."""
    cost = {line.what: line.amount for line in plan.costs}
    return Waste(
        purge_kg=plan.purge_kg,
        startup_kg=fsum(line.startup_kg for line in plan.materials),
        regrind_kg=fsum(line.regrind_kg for line in plan.materials),
        purge_money=cost.get("purge material", 0.0) + cost.get("purging compound", 0.0),
        startup_money=cost.get("start-up material", 0.0),
        disposal_money=cost.get("disposal", 0.0),
        unused_money=cost.get("unused minimum orders", 0.0),
        surplus=fsum(max(0.0, line.surplus) for line in plan.balance),
    )
