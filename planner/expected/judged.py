"""What plans come to over a set of scenarios: means, chances to keep what was promised, and which plan is chosen."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from planner.campaign.planning import Policy
from planner.expected.scenario_sets import Turned
from planner.schedule.encode import Names
from planner.schedule.expected.replicate import Replications, replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Bools, Floats, Instance, Ints
from planner.schedule.solution import Solution
from planner.settled.branches import Branched, through_branches

NOTHING_PROMISED = date.max


@dataclass(frozen=True)
class Candidate:
    """A plan and what the workshop does when a tool is late. inst: its lots, waiting as they do in it."""

    inst: Instance
    solution: Solution
    policy: Policy
    certain: bool = False
    """Whether it is the plan of a world in which all goes as likely."""
    branched: Branched | None = None
    """What is done once it is known how a thing turns out; then the solution is that of its first turn."""


def moves_by(policy: Policy) -> Policy:
    """The policy by which moves are judged while a plan is sought: planning again in every scenario of every move takes
    too long, and what comes closest to it is a press that takes what is ready."""
    return "first ready" if policy == "plan again" else policy


@dataclass(frozen=True)
class Judged:
    """What a candidate comes to. cost (K): money, inf where it cannot be carried out. chances: tier -> share of
    scenarios in which its last parcel leaves by the promised day. packed: tier -> (K) s when its last batch is packed,
    leaves: day number on which it leaves. in_time: tier -> (K) whether all that is promised of it is kept.
    """

    candidate: Candidate
    cost: Floats
    planned: float
    chances: dict[str, float]
    chance_all: float | None
    packed: dict[str, Ints]
    leaves: dict[str, Ints]
    in_time: dict[str, Bools]

    @property
    def not_done(self) -> float:
        return float((~np.isfinite(self.cost)).mean())

    @property
    def mean(self) -> float:
        """Over the scenarios in which it can be carried out."""
        done = self.cost[np.isfinite(self.cost)]
        return float(done.mean()) if done.size else np.inf

    @property
    def error(self) -> float:
        """The mean's standard error."""
        done = self.cost[np.isfinite(self.cost)]
        return float(done.std(ddof=1) / np.sqrt(done.size)) if done.size > 1 else 0.0


def saved_by(ours: Judged, plain: Judged) -> tuple[Floats, float, float]:
    """What `ours` costs less than `plain`: in each scenario in which both can be carried out, on average, and the
    standard error of that average; 0 where too few are left."""
    both = np.isfinite(ours.cost) & np.isfinite(plain.cost)
    saved = plain.cost[both] - ours.cost[both]
    error = float(saved.std(ddof=1) / np.sqrt(saved.size)) if saved.size > 1 else 0.0
    return saved, float(saved.mean()) if saved.size else 0.0, error


def followed_through(
    candidate: Candidate, scenarios: Scenarios, groups: Ints, threads: int, turned: Turned | None = None
) -> Replications:
    """Follow a candidate through all scenarios, by group of pack batches; where it has branches, through that of each
    scenario's turn."""
    one = candidate.branched
    if one is None or one.same or turned is None:
        return replicated(candidate.inst, candidate.solution, scenarios, candidate.policy, groups, threads)
    return through_branches(one, turned[one.thing.id], scenarios, candidate.policy, groups, threads)


def judge(
    names: Names, candidate: Candidate, scenarios: Scenarios, threads: int, turned: Turned | None = None
) -> Judged:
    """Follow a candidate through all scenarios. turned: how things turn out in them, for a candidate with branches."""
    keys = sorted({(b.tier, b.hand_over_by or NOTHING_PROMISED) for b in names.batches})
    number = {key: n for n, key in enumerate(keys)}
    groups = np.array([number[b.tier, b.hand_over_by or NOTHING_PROMISED] for b in names.batches], dtype=np.int64)
    inst = candidate.inst
    done = followed_through(candidate, scenarios, groups, threads, turned)
    in_time: dict[str, Bools] = {}
    leaves: dict[str, Ints] = {}
    packed: dict[str, Ints] = {}
    for (tier, promised), n in number.items():
        left = left_by(inst, done, scenarios, n)
        leaves[tier] = np.maximum(leaves.get(tier, left), left)
        packed[tier] = np.maximum(packed.get(tier, done.packed[:, n]), done.packed[:, n])
        if promised != NOTHING_PROMISED:
            met = left <= promised.toordinal()
            in_time[tier] = in_time.get(tier, met) & met
    every = np.all(list(in_time.values()), axis=0) if in_time else None
    return Judged(
        candidate,
        done.cost,
        done.planned,
        {tier: float(met.mean()) for tier, met in in_time.items()},
        None if every is None else float(every.mean()),
        packed,
        leaves,
        in_time,
    )


def left_by(inst: Instance, done: Replications, scenarios: Scenarios, group: int) -> Ints:
    """(K) day number on which a group's last parcel leaves; the largest number: never."""
    never = np.iinfo(np.int64).max // 2
    days = np.append(inst.pickup_day, never)[done.pickup[:, group]]
    return np.where(days < never, days + scenarios.carrier, days) if scenarios.carrier.size else days


def best_of(judged: list[Judged], asked: dict[str, float]) -> Judged:
    """The one that is carried out most often; of those, one that keeps the chances asked for, tier by tier, or falls
    least short of them; of those, the least mean; of equals, the certain world's plan."""

    def rank(one: Judged) -> tuple[float, float, float, bool]:
        return one.not_done, short_of(one, asked), one.mean, not one.candidate.certain

    return min(judged, key=rank)


def short_of(one: Judged, asked: dict[str, float]) -> float:
    """By how much a plan falls short of the chances asked for, all together."""
    return round(sum(max(0.0, chance - one.chances.get(tier, 0.0)) for tier, chance in asked.items()), 9)
