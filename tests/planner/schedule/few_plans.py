"""Random campaigns so small that every plan of them can be tried, and what must then hold of proofs and bounds."""

from collections.abc import Callable, Iterable
from math import factorial, inf
from typing import Any

import pytest

from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.reading import read
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import Solvers, at_once, paid_anyway, with_effort
from planner.schedule.branch_and_bound.exact import Exact, exhaust
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.found import Found
from planner.schedule.infeasible import NoPlan
from planner.schedule.instance import NONE, Instance, packed_instance
from planner.schedule.search import Budget, search
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force, every_sequence, is_the_best

MOST_PLANS = 72


def small_instances(
    document: Callable[[int], dict[str, Any]],
    fits: Callable[[Instance], bool],
    most_orders: int,
    seeds: Iterable[int],
) -> list[tuple[int, Instance]]:
    """The campaigns of at most MOST_PLANS plans that are as they should be, with their seeds. most_orders: of each line
    of the document. seeds: to draw them from; hardly one in thirty fits, so tests name those that do."""

    def small() -> Any:
        for seed in seeds:
            data = document(seed)
            for line in data["orders"]:
                line["count"] = min(line["count"], most_orders)
            for tool in data["tools"].values():
                tool.pop("smallest_lot_shots", None)
            try:
                inst, _ = compile_campaign(read(data))
            except CampaignProblems:
                continue
            if not 2 <= inst.lot_run.size <= 4 or inst.batch_work.size > 3 or not fits(inst):
                continue
            if 2 <= len(every_sequence(inst)) * factorial(inst.batch_work.size) <= MOST_PLANS:
                yield seed, inst

    return list(small())


def drawn(
    tiny: Callable[[int], Campaign | None], fits: Callable[[Instance], bool], seeds: Iterable[int]
) -> list[tuple[int, Instance]]:
    """The tiny campaigns with at most MOST_PLANS plans that are as they should be, with their seeds. seeds: as for
    `small_instances`."""
    found: list[tuple[int, Instance]] = []
    for seed in seeds:
        campaign = tiny(seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        plans = len(every_sequence(inst)) * factorial(inst.batch_work.size) if inst.lot_run.size < 6 else inf
        if 2 <= plans <= MOST_PLANS and fits(inst):
            found.append((seed, inst._replace(run_smallest=NONE)))
    return found


def equal_trying_every_plan(
    tiny: Callable[[int], Campaign | None], fits: Callable[[Instance], bool], seeds: Iterable[int]
) -> list[Campaign]:
    """The tiny campaigns that are as they should be and can be planned, each tried whole: the search is as good as the
    best of all plans, and no bound is above it. seeds: as for `small_instances`."""
    tried: list[Campaign] = []
    for seed in seeds:
        campaign = tiny(seed)
        if campaign is None:
            continue
        inst, _ = compile_campaign(campaign)
        inst = inst._replace(run_smallest=NONE)
        if not 2 <= inst.lot_run.size <= 4 or inst.batch_work.size > 3 or not fits(inst):
            continue
        if len(every_sequence(inst)) * factorial(inst.batch_work.size) > MOST_PLANS:
            continue
        best = brute_force(inst)
        if best == inf:
            continue
        least = least_changeovers(inst)
        known = at_once(inst, least)
        bounds = [known.total, *(better.total for better, _ in with_effort(inst, least, known, 0.3, Solvers()))]
        assert max(bounds) <= best + 1e-6, seed
        found = search(inst, Budget(60, 1, 0.0), Unhurried())
        assert found.objective <= best + 1e-6, (seed, found.objective, best)
        tried.append(campaign)
    return tried


def found_as_good(seed: int, inst: Instance, best: float) -> Found | None:
    """What the search found: it must be as good as `best`, with no bound above it. None where no plan is possible."""
    if best == inf:
        with pytest.raises(NoPlan):
            search(inst, Budget(5, 1, 0.0), Unhurried())
        return None
    found = search(inst, Budget(5, 1, 0.0), Unhurried())
    assert is_the_best(found.cut or inst, found.objective, found.solution, best), seed
    assert found.bound <= found.cost + 1e-6, seed
    return found


def proven(seed: int, inst: Instance) -> Exact | None:
    """What going through all plans ends with: proven, at the twin's optimum, with no bound above it; None where there
    is no first plan to begin from."""
    arrays, timing = packed_instance(inst), timing_for(inst)
    plans = first_plans(inst, arrays, timing)
    if not plans:
        return None
    value, plan = plans[-1]
    best = brute_force(inst)
    found = exhaust(inst, timing, Exact(plan, value, False), Unhurried())
    assert found.proven, seed
    assert is_the_best(inst, found.value, found.best, best), seed
    cheap = paid_anyway(inst)
    least = least_changeovers(cheap)
    known = at_once(cheap, least)
    bounds = [known.total, *(better.total for better, _ in with_effort(cheap, least, known, 1.0, Solvers()))]
    assert max(bounds) <= best + 1e-6, seed
    return found
