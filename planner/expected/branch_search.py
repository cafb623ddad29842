"""The branches of a plan: which thing to branch on, and the order of work sought in each branch (RULES.md, S10)."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from planner.campaign import Campaign
from planner.campaign.planning import Policy
from planner.expected.joined import joined
from planner.expected.judged import Candidate, Judged, best_of, judge, moves_by
from planner.expected.scenario_sets import ScenarioSets
from planner.schedule.encode import Names
from planner.schedule.expected.chain import MeanChain
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Floats, Instance, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import LAST, timing_for
from planner.settled import Thing, things
from planner.settled.branches import (
    Branch,
    Branched,
    Common,
    as_taken,
    common_part,
    held_fast,
    in_each_world,
    rows_in,
    same_order,
)

SOUGHT_BY = 48
"""Scenarios each branch is sought by; a rare outcome has fewer."""

Climb = Callable[[list[MeanChain], Instance], int]
"""Lets chains go on until their time is over; timings done."""


def open_things(campaign: Campaign, names: Names) -> list[tuple[Thing, int]]:
    """Things that are not settled when the plan begins, each with the second from which it is known."""
    known = [(thing, names.clock.seconds(thing.known)) for thing in things(campaign)]
    return [(thing, at) for thing, at in known if at > 0]


def branched_on(names: Names, root: Judged, sets: ScenarioSets) -> tuple[Thing, int] | None:
    """The thing whose outcome matters most to what the plan costs, of those known before its last run begins."""
    worth: list[tuple[float, int, Thing]] = []
    cost = root.cost
    done = np.isfinite(cost)
    for thing, known in open_things(names.campaign, names):
        turned = sets.choose_turned.get(thing.id)
        if turned is None or not done.any():
            continue
        means = [(cost[done & (turned == n)], float((turned[done] == n).mean())) for n in range(len(thing.turns))]
        whole = float(cost[done].mean())
        spread = sum(share * (float(own.mean()) - whole) ** 2 for own, share in means if own.size)
        worth.append((-spread, known, thing))
    worth.sort(key=lambda one: (one[0], one[1], one[2].id))
    return (worth[0][2], worth[0][1]) if worth else None


def with_branches(
    names: Names, root: Judged, sets: ScenarioSets, climb: Climb, asked: dict[str, float], most: float
) -> Candidate | None:
    """The plan with a branch for each way in which the thing that matters most may turn out; None where nothing does.

    asked: tier -> chance with which its promise is to be kept. most: that the plan may cost if all goes well, where it
    does not cost more without branches already.
    """
    on = branched_on(names, root, sets)
    if on is None:
        return None
    thing, known = on
    whole = joined(root.candidate, sets.choose) if root.candidate.certain else root.candidate
    inst, solution = whole.inst, whole.solution
    value = objective_of(packed_instance(inst), solution, timing_for(inst))
    most, seed = max(most, value), names.campaign.planning.seed
    common, first = common_part(inst, solution, known)
    base = replace(root.candidate, inst=inst, certain=False)
    kept = _kept(base, names, first, thing, known, common)
    sought = _sought(kept, sets, climb, (seed, base.policy, most))
    plain = _main(inst, sought.branches[0], common, first, known, most)
    if plain is None:  # if all goes well it would not be the common part that begins first
        sought = replace(sought, branches=(kept.branches[0], *sought.branches[1:]))
        plain = first
    same = same_order(sought, inst, solution)
    ways = [
        replace(base, solution=solution, branched=same),
        replace(base, solution=first, branched=kept),
        replace(base, solution=plain, branched=sought),
    ]
    judged = [judge(names, way, sets.choose, 1, sets.choose_turned) for way in ways]
    return best_of(judged, asked).candidate


def _kept(base: Candidate, names: Names, first: Solution, thing: Thing, known: int, common: Common) -> Branched:
    """Branches that go on as the policy has it, and begin nothing but the common part before the outcome is known."""
    found: list[Branch] = []
    for world, there, plan in in_each_world(base.inst, names, thing, [(base.inst, first)] * len(thing.turns)):
        held, own = held_fast(there, plan, common, known, as_planned=not found)
        if found:
            own = as_taken(found[0].inst, found[0].solution, world, base.policy)
        found.append(Branch(world, held, own))
    return Branched(thing, known, common, tuple(found))


def _sought(kept: Branched, sets: ScenarioSets, climb: Climb, how: tuple[int, Policy, float]) -> Branched:
    """Each branch's order, sought over scenarios in which the thing turns out so."""
    seed, policy, most = how
    chains: list[MeanChain | None] = []
    for n, branch in enumerate(kept.branches):
        told = _told(sets, branch, kept.thing.id, n)
        timing = timing_for(branch.inst)
        value = objective_of(packed_instance(branch.inst), branch.solution, timing)
        if told.number == 0 or not np.isfinite(value):
            chains.append(None)
            continue
        last = float(timing.totals[LAST])
        chains.append(
            MeanChain(
                branch.inst, branch.solution, told, max(most, value) if n == 0 else np.inf, last, seed + n,
                moves_by(policy), len(kept.common.batches),
            )
        )  # fmt: skip
    going = [chain for chain in chains if chain is not None]
    if not going:
        return kept
    climb(going, kept.branches[0].inst)
    found = [
        branch if chain is None else Branch(branch.world, branch.inst, chain.best.copy())
        for branch, chain in zip(kept.branches, chains, strict=True)
    ]
    for one in found:
        one.solution.release = None
    return replace(kept, branches=tuple(found))


def _told(sets: ScenarioSets, branch: Branch, thing: str, number: int) -> Scenarios:
    rows: Ints = np.flatnonzero(sets.wide_turned[thing] == number)[:SOUGHT_BY]
    return rows_in(sets.wide, rows, branch)


def _main(inst: Instance, branch: Branch, common: Common, first: Solution, known: int, most: float) -> Solution | None:
    """The first branch's order among the plan's own lots; None where it is no plan that waits for nothing: where
    something that is not common would begin before the outcome is known, or it costs too much if all goes well."""
    rows = first.lots()
    heads = [lot for row, n in zip(rows, common.heads, strict=True) for lot in row[:n]]
    rest = [lot for row, n in zip(rows, common.heads, strict=True) for lot in row[n:]]
    old = heads + rest
    plain = Solution.empty(inst)
    for p, row in enumerate(branch.solution.lots()):
        for lot in row:
            plain.append(p, old[lot])
    plain.order = branch.solution.order.copy()
    own, _ = common_part(inst, plain, known)
    if own.heads != common.heads or own.batches != common.batches:
        return None
    value = objective_of(packed_instance(inst), plain, timing_for(inst))
    return plain if value <= most else None


def mean_by(cost: Floats, turned: Ints, number: int) -> tuple[float | None, float, int]:
    """Mean cost over the scenarios in which a thing turns out so, its standard error, and how many they are."""
    own = cost[(turned == number) & np.isfinite(cost)]
    if own.size == 0:
        return None, 0.0, 0
    error = float(own.std(ddof=1) / np.sqrt(own.size)) if own.size > 1 else 0.0
    return float(own.mean()), error, int((turned == number).sum())
