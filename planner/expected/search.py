"""From the plan of a world in which all goes as likely to the plan that costs least on average (RULES.md, S7).

Starts are the certain world's plan and the plan of a world in which things come later (a quantile of each). From there
chains of moves go on, judged over the same scenarios. All plans seen on the way are judged anew on scenarios that had
no part in finding them, the certain world's plan among them, and the best is taken: so it is never left for a plan that
does no better.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from planner.campaign import Campaign
from planner.campaign.planning import Policy
from planner.campaign.uncertainty import Uncertainty
from planner.control import Control, Progress
from planner.expected.bound import MeanBound, mean_bound
from planner.expected.bound_over_ways import mean_bound_over_ways
from planner.expected.branch_search import with_branches
from planner.expected.budgets import Keeping, kept_for_bounds, load_of, most_planned
from planner.expected.in_scenario import later_instance
from planner.expected.joined import joined
from planner.expected.judged import Candidate, Judged, best_of, judge, moves_by, saved_by, short_of
from planner.expected.scenario_sets import ScenarioSets, Turned, scenario_sets_for
from planner.schedule.bounds.undercut import BOUND
from planner.schedule.encode import Names
from planner.schedule.expected.chain import MeanChain
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.found import Found
from planner.schedule.instance import NONE, Instance, packed_instance
from planner.schedule.search import NO_BUDGET_ROUNDS, Budget, search
from planner.schedule.solution import Solution, objective_of, waiting
from planner.schedule.stop import Ended
from planner.schedule.timing import LAST, timing_for
from planner.spared import Fault, spare

LATER = 0.65
"""Chance that what may be late is there by then, in the world that a start is searched in. An order for such a world
puts what waits for unsure tools late and what is sure early."""

BRANCHES_SHARE = 0.25
"""Of the time for the mean, what is left for branches where something is settled on a known day."""

LATER_SHARE = 0.2
"""Of the time for the mean, what goes into that start."""

HOT, COLD = 3e-4, 3e-6
"""Temperatures at the beginning and the end, as a share of the plan's objective."""

STAGES = ((0.0, 12), (0.35, 24), (0.7, 48))
"""(share of the time gone, scenarios by which moves are judged from then on). Few find the way sooner, more tell plans
apart that are nearly as good. Kept in order, 8 s of one core: saved on 1,000 fresh scenarios of the demo 1,290 and
1,093 (seed 1, two runs), 1,096 and 1,090 (seed 2); with 48 from the beginning 1,051 and 977, 802. S, seeds 11 and 12:
1,379 and 1,371, 149 and 144; with 48 1,404, 148."""

WORK_A_SLICE = 300_000
"""Lots, jobs, batches and needs looked at between two looks at the clock: some hundredths of a second."""

SLICES_A_ROUND = 2
"""Slices where the budget is one of rounds."""

REPORTED_SLICES = 20
"""Slices from one report of progress to the next."""

BOUNDED = 32
"""Scenarios bounded where the budget is one of rounds."""

CHANCE = 2.0
"""Standard errors within which what one policy saves against another may be chance."""

A_DAY_LATE = 0.02
"""Of the plan's cost, what a day's delay of a tier that must keep its promise counts for while plans are sought."""


@dataclass(frozen=True)
class Chosen:
    """The plan that costs least on average, and the certain world's plan under the same policy; the scenarios to report
    on with their seed and how things turn out in them, and the bound on average. timings: done while moves were looked
    at. plain: the plan before it was given branches; itself where it has none. faults: parts left out."""

    candidate: Candidate
    plain: Candidate
    certain: Candidate
    timings: int
    report: Scenarios
    turned: Turned
    seed: int
    bound: MeanBound | None
    threads: int
    faults: tuple[Fault, ...] = ()

    def as_found(self, found: Found) -> Found:
        """What a search ends with. Nothing is proven of the mean."""
        found = replace(found, faults=(*found.faults, *self.faults))
        if self.candidate.certain:
            return found
        inst, solution = self.candidate.inst, self.candidate.solution
        value = objective_of(packed_instance(inst), solution, timing_for(inst))
        ended: Ended = "stopped" if found.ended == "stopped" else "budget used"
        return replace(found, solution=solution, objective=value, ended=ended, cut=inst)


def aims_at_the_mean(campaign: Campaign) -> bool:
    """Whether the campaign says what is unsure and asks for the least cost: then the least on average."""
    said = campaign.uncertainty
    return campaign.planning.aim == "cost" and said is not None and said != Uncertainty()


def policies(asked: Policy | None) -> list[Policy]:
    """Which policies plans are sought for; where nothing is asked, the plan chosen is tried planned again too."""
    return ["as planned", "first ready"] if asked is None else [asked]


def least_mean(inst: Instance, names: Names, found: Found, control: Control) -> Chosen:
    """Search from what was found for a certain world, within what is left of the budget."""
    total = control.seconds_left()
    sets = scenario_sets_for(inst, names)
    own = control if total is None else Keeping(control, kept_for_bounds(inst, total))
    campaign = names.campaign
    either_way = bool(sets.choose_turned)
    first_half = Keeping(own, BRANCHES_SHARE * total) if either_way and total is not None else own
    lots = found.cut or inst
    certain = [
        Candidate(waiting(lots, found.solution), found.solution, policy, certain=True)
        for policy in policies(campaign.planning.when_late)
    ]
    asked = {
        name: t.keep_promise for name, t in campaign.tiers.items() if t.keep_promise and (t.promised or t.promised_in)
    }
    first = best_of([judge(names, one, sets.screen, 1) for one in certain], {})
    free = lots._replace(lot_release=NONE)
    sought, timings = _sought(free, names, found, first, sets, first_half, asked)
    threads = max(1, min(control.cores(), 2))
    judged = [] if control.should_stop() else [judge(names, one, sets.choose, threads) for one in [*certain, *sought]]
    most = most_planned(_planned(certain[0]))
    chosen = best_of(worth_it(judged, most, asked) or [first], asked)
    if judged and campaign.planning.when_late is None and not control.should_stop():
        chosen = _planned_again(names, chosen, sets, threads, asked)
    best = plain = chosen.candidate
    if judged and not best.certain and not control.should_stop():
        best = plain = joined(best, sets.choose)
    if either_way and judged and not control.should_stop():
        best = _either_way(names, replace(chosen, candidate=best), sets, own, (asked, most)) or best
    going_on = _going_on(control, total)
    faults: list[Fault] = []

    def bounded() -> MeanBound | None:
        if inst.several:
            return mean_bound_over_ways(names, sets.seed, going_on)
        return mean_bound(chosen.candidate.inst, chosen.candidate.solution, sets.report, going_on)

    bound = spare(BOUND, bounded, None, faults)
    alike = replace(certain[0], policy=best.policy)
    return Chosen(
        best, plain, alike, timings, sets.report, sets.report_turned, sets.seed, bound, threads, tuple(faults)
    )  # fmt: skip


def _planned_again(names: Names, chosen: Judged, sets: ScenarioSets, threads: int, asked: dict[str, float]) -> Judged:
    """The plan chosen, planned again wherever a tool is late, if that costs less by more than chance explains: who says
    nothing is not asked to do more than it is worth."""
    again = judge(names, replace(chosen.candidate, policy="plan again"), sets.choose, threads)
    each, saved, error = saved_by(again, chosen)
    if each.size < 2 or again.not_done > chosen.not_done:
        return chosen
    return best_of([chosen, again], asked) if saved > CHANCE * error else chosen


def _either_way(
    names: Names, chosen: Judged, sets: ScenarioSets, control: Control, limits: tuple[dict[str, float], float]
) -> Candidate | None:
    """The chosen plan with branches; None where nothing is settled on a day on which it matters. limits: chances asked
    for, and the most that it may cost if all goes well."""
    total, plan = control.seconds_left(), names.campaign.planning
    if plan.rounds == 0:
        return None
    value = abs(_planned(chosen.candidate))

    def climb(chains: list[MeanChain], inst: Instance) -> int:
        return _climbed(chains, inst, value, control, plan.rounds, total)

    return with_branches(names, chosen, sets, climb, *limits)


def _planned(one: Candidate) -> float:
    return objective_of(packed_instance(one.inst), one.solution, timing_for(one.inst))


def _going_on(control: Control, total: float | None) -> Callable[[int], bool]:
    """Whether another scenario is bounded after so many: by time, else so many as rounds allow."""

    def go_on(done: int) -> bool:
        if control.should_stop():
            return False
        left = control.seconds_left()
        return done < BOUNDED if left is None or total is None else left > 0.0

    return go_on


def _sought(
    inst: Instance,
    names: Names,
    found: Found,
    first: Judged,
    sets: ScenarioSets,
    control: Control,
    asked: dict[str, float],
) -> tuple[list[Candidate], int]:
    """Plans worth judging anew."""
    plan, policy = names.campaign.planning, first.candidate.policy
    total = control.seconds_left()
    rounds = plan.rounds
    timing = timing_for(inst)
    value = objective_of(packed_instance(inst), found.solution, timing)
    if control.should_stop() or not np.isfinite(value) or rounds == 0:
        return [], 0
    last = float(timing.totals[LAST])
    # the certain world's plan may wait on purpose, and be cheaper for it: what is dearer beside that is never taken
    most = most_planned(min(value, _planned(first.candidate)))
    starts = [found.solution.copy()]
    starts[0].release = None
    later = _later(inst, found, sets, control, total)
    if later is not None and objective_of(packed_instance(inst), later, timing) <= most:
        starts.append(later)
    sought = [inst, _keeping(inst, names, value, asked)] if asked else [inst, inst]
    chains = []
    for n, (on, start) in enumerate(zip(sought, [starts[-1], starts[0]], strict=True)):
        dearest = most if on is inst else np.inf
        chains.append(MeanChain(on, start, sets.screen, dearest, last, plan.seed + n, moves_by(policy)))
    done = _climbed(chains, inst, value, control, rounds, total)
    seen = [Candidate(inst, one, policy) for one in [*starts[1:], *(chain.best for chain in chains)]]
    return [one for one in seen if asked or _planned(one) <= most], done


def worth_it(judged: list[Judged], most: float, asked: dict[str, float]) -> list[Judged]:
    """Those that cost no more than that if all goes well, and those that keep a promise that none of these keeps."""
    within = [_planned(one.candidate) <= most for one in judged]
    least = min((short_of(one, asked) for one, so in zip(judged, within, strict=True) if so), default=0.0)
    return [one for one, so in zip(judged, within, strict=True) if so or short_of(one, asked) < least]


def _later(
    inst: Instance, found: Found, sets: ScenarioSets, control: Control, total: float | None
) -> Solution | None:  # fmt: skip
    """The plan of a world in which things come later; None where there is none."""
    there = later_instance(inst, found.solution, sets.screen, LATER)
    if not np.isfinite(objective_of(packed_instance(there), found.solution, timing_for(there))):
        return None
    kept = 0.0 if total is None else (1.0 - LATER_SHARE) * total
    apart = Keeping(control, kept, alone=True, quiet=True)
    budget = Budget(max(1, found.rounds // 4) if total is None else None, 7, 0.0, bound_effort=0.0)
    best = search(there, budget, apart, found.solution)
    if best.cut is not None:
        return None
    best.solution.release = None
    return best.solution


def _keeping(inst: Instance, names: Names, value: float, asked: dict[str, float]) -> Instance:
    """The instance in which tiers that must keep their promise pay dearly for each day."""
    late = inst.batch_late_cost.copy()
    parcels = {tier: sum(b.parcels for b in names.batches if b.tier == tier) for tier in asked}
    for n, batch in enumerate(names.batches):
        if batch.tier in asked:
            late[n] += A_DAY_LATE * abs(value) * batch.parcels / parcels[batch.tier]
    return inst._replace(batch_late_cost=late)


def _climbed(
    chains: list[MeanChain], inst: Instance, value: float, control: Control, rounds: int | None, total: float | None
) -> int:
    """Let all chains go on until the budget ends; timings done."""
    work = max(60, WORK_A_SLICE // load_of(inst))
    slices = None if total is not None else max(1, (NO_BUDGET_ROUNDS if rounds is None else rounds) * SLICES_A_ROUND)
    begun = control.seconds_left() or 0.0
    together = control.cores() > 1
    done = stage = 0
    work_done = 0
    with ThreadPoolExecutor(len(chains)) as pool:
        while not control.should_stop():
            share = done / slices if slices is not None else _used(control, begun)
            if share >= 1.0:
                break
            while stage < len(STAGES) and share >= STAGES[stage][0]:
                chains = _next_stage(chains, STAGES[stage][1], together, stage == 0)
                stage += 1
            hot = abs(value) * HOT * (COLD / HOT) ** share
            beside = [pool.submit(chain.go_on, work, hot, hot) for chain in chains[1:]] if together else []
            for chain in chains[:1] if together else chains:
                chain.go_on(work, hot, hot)
            for one in beside:
                one.result()
            done += 1
            work_done += work * len(chains)
            if done % REPORTED_SLICES == 0:
                control.report(Progress("averages", share))
    return work_done


def _next_stage(chains: list[MeanChain], number: int, together: bool, first: bool) -> list[MeanChain]:
    """The chains that go on, judging by so many scenarios: those on one instance from the best plan that any of them
    has seen; on one core only one of them."""
    if first:
        for chain in chains:
            chain.look_at(number, chain.best.copy())
        return chains
    alike = [chain for chain in chains if chain.inst is chains[0].inst]
    best = min(alike, key=lambda chain: chain.mean)
    for chain in chains:
        chain.look_at(number, (best if chain in alike else chain).best.copy())
    return chains if together or len(alike) < len(chains) else [best]


def _used(control: Control, begun: float) -> float:
    """Share of the time at the beginning that is gone."""
    left = control.seconds_left()
    return 1.0 if left is None or begun <= 0.0 else 1.0 - left / begun
