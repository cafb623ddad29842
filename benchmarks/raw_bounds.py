"""Bounds as they are worked out, before anything is cut off at a plan's cost, beside plans found without any bound.

    python -m benchmarks.raw_bounds [number] [first seed] [tiny|small|odd|ways|floor] [most lots]

A plan's `lower_bound` is at most its cost, so a bound too high looks like a proof. Here the bounds are asked for by
themselves, twice: with no plan known, and with a poor one known, which leaves changeovers out that no cheaper plan can
have. Plans come from the search without bounds and from plain annealing, under each aim, and of `tiny` campaigns from
going through every plan (benchmarks/every_plan.py), too. A bound above any of these plans is wrong.
"""

import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from math import inf, isfinite
from typing import NamedTuple

from benchmarks.every_plan import Workshop, tiny_document
from benchmarks.floor_campaigns import floor_document
from benchmarks.metamorphic import campaign_document
from benchmarks.odd_campaigns import odd
from benchmarks.plain_annealing import annealed
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule import timing as w
from planner.schedule.bounds.lower_bound import IN_ORDER_ARCS, Solvers, paid_anyway, thought
from planner.schedule.bounds.objective_gap import DAY_S
from planner.schedule.bounds.pickup_lp import arcs
from planner.schedule.bounds.press_hours import LowerBound, beforehand
from planner.schedule.construct import first_plans
from planner.schedule.encode import aimed, compile_campaign
from planner.schedule.found import Found
from planner.schedule.infeasible import NoPlan
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.search import Budget, search
from planner.schedule.solution import objective_of, waiting
from planner.schedule.timing import timing_for

CENT = 0.01
"""Money by which a bound may lie above a plan: no amount is told more finely."""
GRAM = 1e-6
"""The same of kg and of days."""
ROUNDS, SEEDS = 3, (1, 2)
PLAIN = 4_000
"""Plans that plain annealing times."""
EFFORT = 3.0
AIMS = ("cost", "soonest", "waste")


class Least(NamedTuple):
    """The least of all plans found, or the greatest of all bounds: money, kg of waste, seconds to the last dispatch."""

    money: float
    waste_kg: float
    last_s: float

    def least(self, other: "Least") -> "Least":
        return Least(*(min(pair) for pair in zip(self, other, strict=True)))

    def greatest(self, other: "Least") -> "Least":
        return Least(*(max(pair) for pair in zip(self, other, strict=True)))


NO_PLAN, NO_BOUND = Least(inf, inf, inf), Least(0.0, 0.0, 0.0)


def tiny(seed: int) -> Campaign:
    """One of those of which every plan can be gone through."""
    return read(tiny_document(seed))


def small(seed: int) -> Campaign:
    """One with some orders on one or two presses."""
    return read(campaign_document(seed, ways=False))


def workshop_floor(seed: int) -> Campaign:
    """One with hours of people, dryers, lights out: the first from ten times the seed on that passes."""
    for other in range(10 * seed, 10 * seed + 10):
        try:
            return read(floor_document(other, shared=0.4, dryers=True, small=True))
        except CampaignProblems:
            continue
    raise AssertionError(f"floor {seed}: no campaign passes")


KINDS: dict[str, Callable[[int], Campaign]] = {
    "tiny": tiny,
    "small": small,
    "odd": lambda seed: odd(seed)[0],
    "ways": lambda seed: odd(seed, ways=True)[0],
    "floor": workshop_floor,
}


def raw_bounds(inst: Instance, best: float) -> Iterator[LowerBound]:
    """Every bound on the way to the last, as it is. best: money of the plan they are told of."""
    known = beforehand(inst)
    yield known
    for better, _ in thought(inst, known, EFFORT, Solvers(lambda: best, patient=arcs(inst) <= IN_ORDER_ARCS)):
        yield better


def _told(inst: Instance, found: Found) -> Least:
    """What a plan has, as the evaluator adds it up."""
    mine = waiting(found.cut or inst, found.solution)
    timing = timing_for(mine)
    objective_of(packed_instance(mine), found.solution, timing)
    kg = float(timing.totals[w.PURGE_TOTAL_KG] + timing.totals[w.STARTUP_TOTAL_KG])
    return Least(float(timing.totals[w.COST]), kg, float(timing.totals[w.LAST]))


def plans(inst: Instance, seed: int) -> Iterator[Least]:
    """Plans under each aim, found without bounds. Nothing where none is found."""
    for aim in AIMS:
        for one in SEEDS:
            try:
                found = search(aimed(inst, aim), Budget(ROUNDS, seed + one, 0.0, bound_effort=0), Unhurried())
            except NoPlan:
                return
            yield _told(inst, found)
    dear = aimed(inst, "cost")
    movable = inst.lot_run.size > int(inst.pinned.sum())
    if movable and first_plans(dear, packed_instance(dear), timing_for(dear)):
        _, best, _ = annealed(dear, lambda timed: timed / PLAIN, seed)
        yield Least(best, inf, inf)


class Looked(NamedTuple):
    """What one campaign came to: the greatest bound and the least plan, and what is wrong, if anything."""

    bound: Least
    plan: Least
    wrong: str

    @property
    def met(self) -> bool:
        """Whether the bound is as good as the plan."""
        return self.plan.money - self.bound.money <= CENT


def looked_at(kind: str, seed: int, most_lots: int = 40) -> Looked | None:
    """Bounds and plans of one seed's campaign; None where there is no plan, or so many lots that it is left out."""
    try:
        campaign = KINDS[kind](seed)
    except CampaignProblems:
        return None
    inst, _ = compile_campaign(campaign)
    if inst.lot_run.size > most_lots:
        return None
    plan = NO_PLAN
    for one in plans(inst, seed):
        plan = plan.least(one)
    if kind == "tiny":
        plan = plan.least(Least(Workshop(tiny_document(seed)).least(plan.money + CENT).money, inf, inf))
    if not isfinite(plan.money):
        return None
    bound, wrong = NO_BOUND, ""
    poor = _poor(inst)
    for aim, best in [(aim, inf) for aim in AIMS] + [("cost", poor)]:
        for told in raw_bounds(aimed(inst, aim), best):
            mine = Least(told.total, told.waste_kg, float(told.last_s))
            bound = bound.greatest(mine)
            wrong = wrong or _above(mine, told, plan)
    return Looked(bound, plan, wrong)


def _above(bound: Least, told: LowerBound, plan: Least) -> str:
    """Which of the three lies above the plan, in words."""
    if bound.money > plan.money + CENT:
        return f"bound {bound.money:.4f} ({told.basis}), a plan costs {plan.money:.4f}"
    if bound.waste_kg > plan.waste_kg + GRAM:
        return f"bound {bound.waste_kg:.6f} kg ({told.waste_basis}), a plan wastes {plan.waste_kg:.6f}"
    if bound.last_s > plan.last_s + GRAM:
        return f"bound {bound.last_s / DAY_S:.4f} days ({told.last_basis}), a plan ends after {plan.last_s / DAY_S:.4f}"
    return ""


def _poor(inst: Instance) -> float:
    """Money of the dearest first plan, as bounds see it; inf where there is none."""
    dear = paid_anyway(aimed(inst, "cost"))
    arrays, timing = packed_instance(dear), timing_for(dear)
    costs = []
    for value, one in first_plans(dear, arrays, timing):
        if isfinite(value):
            objective_of(arrays, one, timing)
            costs.append(float(timing.totals[w.COST]))
    return max(costs, default=inf)


def main(number: int, first: int, kind: str, most_lots: int) -> None:
    began = time.process_time()
    seen: Counter[str] = Counter()
    wrong: dict[int, str] = {}
    for done, seed in enumerate(range(first, first + number)):
        if done and done % 50 == 0:
            print(f"{done}: {len(wrong)} wrong so far", flush=True)
        looked = looked_at(kind, seed, most_lots)
        if looked is None:
            seen["no plan, or too many lots"] += 1
            continue
        seen["bound met" if looked.met else "bound below"] += 1
        if looked.wrong:
            wrong[seed] = looked.wrong
    told = ", ".join(f"{what}: {count}" for what, count in sorted(seen.items()))
    print(f"{number} of {kind} from {first}, {time.process_time() - began:.0f} processor s: {len(wrong)} wrong; {told}")
    for seed, why in wrong.items():
        print(f"  seed {seed}: {why}")


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 100,
        int(given[1]) if len(given) > 1 else 0,
        given[2] if len(given) > 2 else "tiny",
        int(given[3]) if len(given) > 3 else 40,
    )
