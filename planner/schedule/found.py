"""What a search ends with, and a solution that no search found told in the same way."""

from dataclasses import dataclass

from planner.schedule.bounds.objective_gap import AimMet, aim_met, unbounded
from planner.schedule.bounds.press_hours import beforehand
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.solution import Solution, allowed, objective_of, waiting
from planner.schedule.stop import Ended
from planner.schedule.timing import COST, timing_for
from planner.spared import Fault


@dataclass(frozen=True)
class Found:
    """What the search ends with. ended: why. rounds: how many were done. bound: money no plan can undercut, and why.

    aim: what was aimed at and its own bound; None: money. faults: parts of the search that failed and were left out.
    cut: the instance whose lots the solution orders, where they are cut otherwise than they came.
    """

    solution: Solution
    objective: float
    cost: float
    rounds: int
    ended: Ended
    bound: float
    bound_basis: str
    aim: AimMet | None = None
    faults: tuple[Fault, ...] = ()
    cut: Instance | None = None

    @property
    def proven(self) -> bool:
        return self.ended == "proven"


def as_found(inst: Instance, solution: Solution, bound: float = 0.0, basis: str = "none was asked for") -> Found | None:
    """A solution that no search found, as what a search ends with; None if it cannot be carried out."""
    timing = timing_for(inst)
    if not allowed(inst, solution):
        return None
    objective = objective_of(packed_instance(waiting(inst, solution)), solution, timing)
    if objective == float("inf"):
        return None
    aim = unbounded(aim_met(inst, timing.totals, beforehand(inst)))
    return Found(solution, objective, float(timing.totals[COST]), 0, "budget used", bound, basis, aim)
