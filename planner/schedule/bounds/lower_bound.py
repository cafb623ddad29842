"""The best lower bounds at hand, with what they rest on in words."""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from ortools.sat.python import cp_model

from planner.schedule.bounds.assignment_bound import entry_cost, waste_kg
from planner.schedule.bounds.changeovers import Changeovers, least_changeovers
from planner.schedule.bounds.dated_paths import DatedPaths
from planner.schedule.bounds.dated_paths import small_enough as few_arcs
from planner.schedule.bounds.earliest import Earliest, earliest_dispatch
from planner.schedule.bounds.finish import last_pickup, load_allows
from planner.schedule.bounds.hot_runners import hot_runner_money
from planner.schedule.bounds.in_order import in_order
from planner.schedule.bounds.lp_rows import Interrupted, Rows
from planner.schedule.bounds.one_press import MOST_LOTS, OnePress
from planner.schedule.bounds.pickup_lp import PickupLp, arcs
from planner.schedule.bounds.press_finish import soonest_press_work
from planner.schedule.bounds.press_hours import LowerBound, beforehand, higher
from planner.schedule.bounds.press_model import cheapest_press_work, least_press_waste
from planner.schedule.bounds.press_paths import MOST_ARCS, MOST_ARCS_FOR_MONEY, small_enough
from planner.schedule.bounds.whole_bags import bought_once
from planner.schedule.bounds.work import production_cost
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.lot_sizes import may_be_cut
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import COST, timing_for

ARCS_A_SECOND = 20_000
"""Arcs of the programme by dates for which a second of effort is enough: larger ones are left out."""

WHOLES_A_SECOND = 1_000
"""The same of the model in whole numbers. With 500 arcs (S) it takes half a second of a core or more, whatever effort
it is given: in a search of two seconds on one core it left the chain half a second of them."""

IN_ORDER_EFFORT = 20.0
"""Deterministic seconds for the same with what is made in the order of the paths: it goes through all of it or gains
little, which takes S (25 runs) 0.2 to 17."""

IN_ORDER_ARCS = 300
"""Arcs of the model with which that takes under a second (ten runs): it is done beside any search."""

IN_WHOLES = (
    "what presses, tools, benches and pick-ups have hours and room for by each date, every press with one path "
    "over its runs and whole stretches, batches sent whole (exact solver)"
)
IN_ORDER = (
    "what presses, tools, benches and pick-ups have hours and room for by each date, every press with one path "
    "over its runs and whole stretches, each run made after those before it, batches sent whole (exact solver)"
)

LONGEST = 120.0
"""Seconds after which a programme is given up; a backstop, for effort decides whether it is begun."""


@dataclass
class Solvers:
    """What thinks, so that it can be stopped. best: money of the best plan known meanwhile. patient: whether a bound
    that takes a quarter of a minute may be tried."""

    best: Callable[[], float] = lambda: math.inf
    patient: bool = False
    cp_sat: cp_model.CpSolver = field(default_factory=cp_model.CpSolver)
    rows: list[Rows] = field(default_factory=list)
    stopped: bool = False

    def fresh_rows(self) -> Rows:
        """Rows that `stop` will hear of. Raises Interrupted once stopped."""
        if self.stopped:
            raise Interrupted
        self.rows.append(Rows())
        return self.rows[-1]

    def stop(self) -> None:
        self.stopped = True
        self.cp_sat.stop_search()
        for rows in self.rows:
            rows.stop()


def at_hand(inst: Instance) -> float:
    """Money that no plan undercuts, of the bounds that take no search."""
    if inst.several:
        return inst.several_bound
    once = paid_anyway(inst)
    least = least_changeovers(once)
    return max(beforehand(inst).total, at_once(once, least, earliest_dispatch(once, least)).total)


def paid_anyway(inst: Instance) -> Instance:
    """The instance as bounds see it: what whole bags leave over and what hot runners take, each at the least, are part
    of its fixed cost. No plan costs less by it than a bound of it says."""
    once = bought_once(inst)
    return once._replace(fixed_cost=once.fixed_cost + hot_runner_money(once))


def thought(
    inst: Instance, known: LowerBound, effort: float, solvers: Solvers
) -> Iterator[tuple[LowerBound, list[list[int]] | None]]:
    """All bounds one after the other, cheap ones first: each the best so far, with an order of runs if it has one."""
    if inst.several:
        yield known, None
        return
    given, inst = inst, paid_anyway(inst)
    least = least_changeovers(inst)
    if solvers.stopped:
        return
    earliest = earliest_dispatch(inst, least)
    first = at_once(inst, least, earliest)
    known = higher(first, known)
    only = OnePress(inst, least) if _alone(inst) and not solvers.stopped else None
    order = only.order() if only is not None else None
    if order is not None:
        told, patched = solvers.best, _cost(given, order)
        solvers.best = lambda: min(told(), patched)
    yield known, None if order is None else [order]
    yield from with_effort(inst, least, known, effort, solvers, only, earliest)


def at_once(inst: Instance, least: Changeovers, earliest: Earliest | None = None) -> LowerBound:
    """The bounds that need no solver: milliseconds for tens of runs, a second for hundreds. earliest: if known."""
    presses = production_cost(inst) + entry_cost(inst, least)
    earliest = earliest or earliest_dispatch(inst, least)
    basis = "press hours of all shots with the warm-ups that closing forces; each run entered the cheapest way"
    found = _sum(inst, presses, earliest.late, basis)
    if inst.aim_waste > 0:
        found = replace(
            found,
            waste_kg=waste_kg(inst, least),
            waste_basis="each run entered the way that wastes least, start-up shots of every stretch that must be",
        )
    if inst.aim_last > 0:
        pickup, why = last_pickup(inst, earliest)
        found = replace(found, last_s=int(inst.pickup_t[pickup]), last_basis=why)
    return found


def with_effort(
    inst: Instance,
    least: Changeovers,
    known: LowerBound,
    effort: float,
    solvers: Solvers,
    only: OnePress | None = None,
    earliest: Earliest | None = None,
) -> Iterator[tuple[LowerBound, list[list[int]] | None]]:
    """Better bounds one after the other, and the order of runs found on the way: the programme by dates, then CP-SAT.

    effort: deterministic seconds of CP-SAT, and what decides whether a programme is small enough to begin with. What
    CP-SAT proves is of these lots alone: where a demand may be cut otherwise, only the order it finds counts. only: the
    assignment of the only press. Changeovers that no plan cheaper than the best known can have are then left out, so
    that the bound is at most what that costs. earliest: if it is known.
    """
    as_cut = may_be_cut(inst).size > 0
    # on one press where nothing can be late the order of runs says more than the programme by dates
    by_order = only is not None and not as_cut and not (inst.batch_late_cost > 0).any()
    try:
        if inst.aim_last > 0:
            known = _load(inst, least, known, solvers)
            yield known, None
            if small_enough(inst) and not solvers.stopped:
                sooner, sequences = _soonest(inst, least, known, effort, solvers)
                known = known if as_cut else sooner
                yield known, sequences
        if arcs(inst) <= effort * ARCS_A_SECOND and not by_order:
            earliest = earliest or earliest_dispatch(inst, least)
            known = _by_dates(inst, least, earliest, known, solvers)
            yield known, None
            if few_arcs(inst) and arcs(inst) <= effort * WHOLES_A_SECOND and not solvers.stopped:
                paths = DatedPaths(inst, least, earliest)
                known = _in_wholes(paths, known, effort, solvers)
                yield known, None
                soon_done = arcs(inst) <= IN_ORDER_ARCS and effort >= IN_ORDER_EFFORT
                if (solvers.patient or soon_done) and not solvers.stopped:
                    in_order(paths)
                    known = _in_wholes(paths, known, IN_ORDER_EFFORT, solvers, IN_ORDER)
                    yield known, None
    except Interrupted:
        return
    if inst.aim_waste > 0 and small_enough(inst) and not solvers.stopped:
        waste = least_press_waste(inst, least, effort, solvers.cp_sat)
        if waste.bound > known.waste_kg and not as_cut:
            basis = "the order of all runs on the presses that wastes least, by an exact solver"
            known = replace(known, waste_kg=waste.bound, waste_basis=basis)
        yield known, waste.sequences
    cost = solvers.best() if only is not None else math.inf
    needless = only.needless(cost) if only is not None and cost < math.inf else None
    most = MOST_ARCS if inst.restart_s.size == 1 else MOST_ARCS_FOR_MONEY
    if small_enough(inst, needless, most) and not solvers.stopped:
        work = cheapest_press_work(inst, least, effort, solvers.cp_sat, needless)
        total = min(inst.fixed_cost + work.bound + known.late, cost)
        if total > known.total and not as_cut:
            basis = "the cheapest order of all runs on the presses, by an exact solver, with whole warm-ups"
            best = _sum(inst, total - inst.fixed_cost - known.late, known.late, basis)
            known = replace(known, total=best.total, basis=best.basis)
        if work.bound > known.presses and needless is None and not as_cut:
            known = replace(known, presses=work.bound)
        yield known, work.sequences


def _cost(inst: Instance, order: list[int]) -> float:
    """Money of the plan with this order of the only press; inf if it cannot be carried out."""
    plan, timing = Solution.empty(inst), timing_for(inst)
    for j in order:
        plan.append(0, j)
    value = objective_of(packed_instance(inst), plan, timing)
    return float(timing.totals[COST]) if value < math.inf else math.inf


def _alone(inst: Instance) -> bool:
    """Whether there is one press, free in its order of lots."""
    free = inst.pinned.sum() == 0 and not inst.clash.any()
    return bool(free and inst.restart_s.size == 1 and 2 <= inst.lot_run.size <= MOST_LOTS and inst.fits.all())


def _by_dates(
    inst: Instance, least: Changeovers, earliest: Earliest, known: LowerBound, solvers: Solvers
) -> LowerBound:
    """Press work and lateness together."""
    rows = solvers.fresh_rows()
    money = PickupLp(inst, least, earliest, rows).least_money(LONGEST)
    if money is None or inst.fixed_cost + money <= known.total:
        return known
    basis = (
        "what presses, tools, benches and pick-ups have hours and room for by each date, runs entered along paths, "
        "lateness weighed in (linear programme)"
    )
    return replace(known, total=inst.fixed_cost + money, basis=basis)


def _in_wholes(
    paths: DatedPaths, known: LowerBound, effort: float, solvers: Solvers, basis: str = IN_WHOLES
) -> LowerBound:
    """The same with whole paths, stretches and batches. basis: what the model has, in words."""
    money = paths.least_money(effort, solvers.cp_sat)
    total = paths.inst.fixed_cost + money
    if not known.total < total < math.inf:
        return known
    return replace(known, total=total, basis=basis)


def _load(inst: Instance, least: Changeovers, known: LowerBound, solvers: Solvers) -> LowerBound:
    """The first pick-up by which the presses could have made everything, by halving."""
    low = int(inst.pickup_t.searchsorted(known.last_s))
    if load_allows(inst, least, int(inst.pickup_t[low]), solvers.fresh_rows(), LONGEST):
        return known
    step = 1
    while not load_allows(inst, least, _at(inst, low + step), solvers.fresh_rows(), LONGEST):
        low, step = low + step, 2 * step
        if low + step >= inst.pickup_t.size:
            break
    high = min(low + step, inst.pickup_t.size - 1)
    while high - low > 1:
        middle = (low + high) // 2
        if load_allows(inst, least, _at(inst, middle), solvers.fresh_rows(), LONGEST):
            high = middle
        else:
            low = middle
    return replace(known, last_s=_at(inst, high), last_basis="press and tool hours that all runs need before it")


def _soonest(
    inst: Instance, least: Changeovers, known: LowerBound, effort: float, solvers: Solvers
) -> tuple[LowerBound, list[list[int]] | None]:
    """Whole lots in one path a press."""
    first = int(inst.pickup_t.searchsorted(known.last_s))
    found = soonest_press_work(inst, least, first, effort, solvers.cp_sat)
    if found.pickup > first:
        basis = "the soonest order of all runs on the presses, by an exact solver"
        known = replace(known, last_s=_at(inst, found.pickup), last_basis=basis)
    return known, found.sequences


def _at(inst: Instance, pickup: int) -> int:
    return int(inst.pickup_t[min(pickup, inst.pickup_t.size - 1)])


def _sum(inst: Instance, presses: float, late: float, basis: str) -> LowerBound:
    if late > 0:
        basis += "; batches that no plan can send in time"
    return LowerBound(presses, late, inst.fixed_cost + presses + late, basis)
