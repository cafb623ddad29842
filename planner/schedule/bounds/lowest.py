"""The best lower bound at hand, with what it rests on in words."""

from dataclasses import dataclass

from ortools.sat.python import cp_model

from planner.schedule.bounds.changeovers import Changeovers
from planner.schedule.bounds.earliest import earliest_dispatch
from planner.schedule.bounds.entries import entry_cost
from planner.schedule.bounds.press_model import cheapest_press_work, small_enough
from planner.schedule.bounds.work import production_cost
from planner.schedule.instance import Instance


@dataclass(frozen=True)
class Lowest:
    """Money no plan can undercut: the presses' lines, lateness, and the whole with the fixed cost; why in words."""

    presses: float
    late: float
    total: float
    basis: str


def at_once(inst: Instance, least: Changeovers) -> Lowest:
    """The bound that costs milliseconds."""
    presses = production_cost(inst) + entry_cost(inst, least)
    late = earliest_dispatch(inst, least).late
    basis = "press hours of all shots with the warm-ups that closing forces; each run entered the cheapest way"
    return _sum(inst, presses, late, basis)


def with_effort(
    inst: Instance, least: Changeovers, known: Lowest, effort: float, solver: cp_model.CpSolver
) -> tuple[Lowest, list[list[int]] | None]:
    """The same or a better bound after so many deterministic seconds of CP-SAT, and the order of runs it found."""
    if not small_enough(inst):
        return known, None
    work = cheapest_press_work(inst, least, effort, solver)
    if work.bound <= known.presses:
        return known, work.sequences
    basis = "cheapest order of all runs on the presses (CP-SAT), warm-ups of whole stretches included"
    return _sum(inst, work.bound, known.late, basis), work.sequences


def _sum(inst: Instance, presses: float, late: float, basis: str) -> Lowest:
    if late > 0:
        basis += "; batches that no plan can send in time"
    return Lowest(presses, late, inst.fixed_cost + presses + late, basis)
