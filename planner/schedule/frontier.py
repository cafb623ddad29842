"""What a day costs in kilograms: plans on the frontier of waste (purge and start-up) against last dispatch.

Two searches find the ends, least waste and soonest; further ones weigh a day against so many kilograms, taken from
between the ends, each beginning with the plan before it. Only plans that no other beats in both are kept.
"""

from dataclasses import dataclass

from planner.control import Control
from planner.schedule import timing as w
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for

MONEY = 1e-5
"""Weight of money beside waste and days: it decides between plans that are alike in both."""

WEIGHTS = (0.25, 1.0, 4.0)
"""A day against kilograms, as multiples of the mean rate between the two ends."""

DAY_S = 86400


@dataclass(frozen=True)
class TradeOff:
    """One plan of the list. waste_kg: purge and start-up; last_dispatch: seconds from the start; cost: money."""

    waste_kg: float
    purge_kg: float
    last_dispatch: int
    cost: float
    solution: Solution


def trade_offs(inst: Instance, rounds: int, seed: int, control: Control) -> list[TradeOff]:
    """Plans from least waste to soonest, each sooner and more wasteful than the one before; `rounds` a search.

    Raises NoPlan if nothing can be carried out.
    """
    tp, timing = tape(inst), timing_for(inst)
    found: list[TradeOff] = []

    def weigh(kg: float, day: float, start: Solution | None) -> TradeOff:
        aimed = inst._replace(aim_cost=MONEY, aim_waste=kg, aim_last=day, aim_mean=0.0)
        solution = search(aimed, Budget(rounds, seed, 0.0), control, start).solution
        objective_of(tp, solution, timing)
        purge = float(timing.totals[w.PURGE_TOTAL_KG])
        one = TradeOff(
            purge + float(timing.totals[w.STARTUP_TOTAL_KG]),
            purge,
            int(timing.totals[w.LAST]),
            float(timing.totals[w.COST]),
            solution,
        )
        found.append(one)
        return one

    # a hair of the other aim, so that an end is not needlessly bad in it
    thrifty = weigh(1000.0, 1.0, None)
    soonest = weigh(1.0, 1000.0, None)
    kilograms = soonest.waste_kg - thrifty.waste_kg
    days = (thrifty.last_dispatch - soonest.last_dispatch) / DAY_S
    start = thrifty.solution
    if kilograms > 0 and days > 0:
        for weight in WEIGHTS:
            if control.should_stop():
                break
            start = weigh(100.0, 100.0 * weight * kilograms / days, start).solution
    return unbeaten(found)


def unbeaten(plans: list[TradeOff]) -> list[TradeOff]:
    """Those that no other plan beats in both waste and last dispatch, least waste first."""
    kept: list[TradeOff] = []
    for plan in sorted(plans, key=lambda t: (round(t.waste_kg, 6), t.last_dispatch, t.cost)):
        if not kept or plan.last_dispatch < kept[-1].last_dispatch:
            kept.append(plan)
    return kept
