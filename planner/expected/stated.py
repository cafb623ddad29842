"""What a plan costs on average, as its document states it: on scenarios that had no part in finding or choosing it."""

from dataclasses import replace

import numpy as np

from planner.campaign.planning import POLICIES, Policy
from planner.expected.branch_stated import branches_as_written
from planner.expected.judged import Candidate, Judged, judge, saved_by
from planner.expected.search import Chosen
from planner.plan.document import Expected, PolicyWorth, PromiseKept
from planner.promise.scenarios import draw
from planner.promise.sensitivity import strongest
from planner.schedule.encode import Names
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance
from planner.schedule.merge import merged
from planner.schedule.solution import Solution


def stated(
    inst: Instance, names: Names, solution: Solution, chosen: Chosen, joined: bool, ids: dict[int, str]
) -> Expected:
    """inst, solution: as the plan is written down. joined: whether its lots are, for the certain world's plan too. ids:
    of pack batches."""
    policy, branched = chosen.candidate.policy, chosen.candidate.branched
    own = Candidate(inst, solution, policy)
    plain = ours = judge(names, own, chosen.report, chosen.threads)
    branches = None
    if branched is not None:
        ours = judge(names, replace(own, branched=branched), chosen.report, chosen.threads, chosen.turned)
        without = judge(names, chosen.plain, chosen.report, chosen.threads)
        branches = branches_as_written(names, ours, without, chosen.turned[branched.thing.id], ids)
    certain = chosen.certain
    if joined:
        lots, order = merged(certain.inst, certain.solution)
        certain = replace(certain, inst=lots, solution=order)
    theirs = judge(names, certain, chosen.report, chosen.threads)
    _, saved, saved_error = saved_by(ours, theirs)
    bound = chosen.bound if ours.not_done == 0.0 else None
    costs = [round(float(cost), 4) if np.isfinite(cost) else None for cost in ours.cost]
    return Expected(
        mean=ours.mean,
        standard_error=ours.error,
        certain_mean=theirs.mean,
        certain_total=theirs.planned,
        certain_late=_late(names, certain),
        saved=saved,
        saved_error=saved_error,
        bound=min(bound.mean, ours.mean) if bound else None,
        bound_low=min(bound.low, ours.mean) if bound else None,
        bound_basis=bound.basis if bound else "",
        bound_replications=bound.scenarios if bound else 0,
        chance_all=ours.chance_all,
        promises=_promises(names, ours, chosen),
        replications=chosen.report.number,
        not_done=ours.not_done,
        policy=policy,
        policies=_policies(names, plain, ours, chosen),
        seed=chosen.seed,
        costs=costs,
        followed_by="S4.4",
        branches=branches,
    )


def _late(names: Names, candidate: Candidate) -> list[str]:
    """Tiers that leave late even if all goes well."""
    likely = judge(names, candidate, Scenarios(1), 1)
    return [tier for tier, met in likely.in_time.items() if not met.all()]


def _policies(names: Names, plain: Judged, ours: Judged, chosen: Chosen) -> list[PolicyWorth]:
    """What the plan's order of work costs under each policy, and with its branches."""
    found = [_worth(names, plain, one, chosen) for one in POLICIES]
    if ours.candidate.branched is not None:
        found.append(_worth(names, ours, ours.candidate.policy, chosen).model_copy(update={"branches": True}))
    return found


def _worth(names: Names, ours: Judged, policy: Policy, chosen: Chosen) -> PolicyWorth:
    if policy != ours.candidate.policy:
        ours = judge(names, replace(ours.candidate, policy=policy), chosen.report, chosen.threads)
    return PolicyWorth(policy=policy, mean=ours.mean, standard_error=ours.error, chance_all=ours.chance_all)


def _promises(names: Names, ours: Judged, chosen: Chosen) -> list[PromiseKept]:
    """Tiers that ask for a chance, with what stands in the way where it is not reached."""
    found = []
    for name, tier in names.campaign.tiers.items():
        if tier.keep_promise is None or name not in ours.chances:
            continue
        chance, why = ours.chances[name], ""
        if chance < tier.keep_promise:
            factors = draw(names.campaign, chosen.report.number, chosen.seed).factors
            spread = strongest(factors, ours.packed[name])
            why = "the highest chance found"
            if spread:
                why += f"; most in its way: {spread[0].about}"
        found.append(PromiseKept(tier=name, asked=tier.keep_promise, chance=chance, why=why))
    return found
