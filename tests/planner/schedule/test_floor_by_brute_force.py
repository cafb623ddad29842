"""Small workshops with hours of people, others' work, dryers, unknown melts: no order of work is missed."""

from itertools import permutations, product
from math import factorial, inf

from benchmarks.floor_campaigns import floor_campaign
from planner.control import Unhurried
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, NoPlan, search
from planner.schedule.solution import Solution, allowed
from tests.planner.schedule.plain.evaluate import carried_out, objective
from tests.planner.schedule.plain.workshop import CannotBeDone

MOST_ORDERS = 150
MOST_SHOTS = 1200
WANTED = ("others", "dryers", "people", "unknown")


def least_of_every_order(inst: Instance) -> float:
    """The least objective over every press, order and service, each carried out by the plain twin."""
    best, lots, fixed = inf, range(inst.lot_run.size), int(inst.pinned.sum())
    for places in product(range(inst.pinned.size), repeat=inst.lot_run.size - fixed):
        for order in permutations(lots[fixed:]):
            solution, lot = Solution.empty(inst), 0
            for p, heads in enumerate(inst.pinned.tolist()):
                for _ in range(heads):
                    solution.append(p, lot)
                    lot += 1
            for one in order:
                solution.append(places[one - fixed], one)
            if not allowed(inst, solution):
                continue
            for served in permutations(range(inst.batch_work.size)):
                try:
                    best = min(best, objective(inst, carried_out(inst, solution.lots(), list(served))))
                except CannotBeDone:
                    continue
    return best


def few(inst: Instance) -> bool:
    """Whether every order of it can be gone through by hand."""
    free = inst.lot_run.size - int(inst.pinned.sum())
    orders = factorial(free) * inst.pinned.size**free * factorial(inst.batch_work.size)
    return orders <= MOST_ORDERS and int(inst.lot_shots.sum()) <= MOST_SHOTS


def test_the_search_finds_what_every_order_gone_through_finds() -> None:
    """Never dearer than the best of all orders, and the bound never above it. Cheaper only where a run waits on
    purpose, or lots are cut, which the enumeration does not try. Campaigns are drawn until each thing has been seen
    and ten were equal; `benchmarks.floor_plans` goes through as many as one asks for."""
    seen = {"others": 0, "dryers": 0, "people": 0, "unknown": 0, "none": 0, "equal": 0}
    for seed in range(2000, 2060):
        if min(seen[what] for what in WANTED) > 0 and seen["equal"] >= 10:
            break
        campaign = floor_campaign(seed, shared=0.7, dryers=True, small=True)
        if campaign is None:
            continue
        inst, names = compile_campaign(campaign)
        if not few(inst):
            continue
        best = least_of_every_order(inst)
        try:
            found = search(inst, Budget(2, seed, 0.0), Unhurried())
        except NoPlan:
            assert best == inf, seed
            seen["none"] += 1
            continue
        assert found.objective <= best + 0.01, seed
        assert found.bound <= found.cost + 1e-6, seed
        ours = found.cut or inst
        waits = found.solution.release is not None and bool(found.solution.release.any())
        if not waits and ours.lot_run.size == inst.lot_run.size:
            assert abs(found.objective - best) <= 0.01, seed
            seen["equal"] += 1
        seen["others"] += inst.sharing
        seen["dryers"] += bool(names.dryers)
        seen["people"] += campaign.floor.attended is not None
        seen["unknown"] += max(int(inst.press_melt.max()), int(inst.tool_melt.max())) >= len(names.melts)
    assert seen["equal"] >= 10, seen
    assert min(seen[what] for what in WANTED) > 0, seen
