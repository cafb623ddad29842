"""What plans come to over a set of scenarios: means, chances to keep what was promised, and which plan is chosen."""

from dataclasses import dataclass

import numpy as np

from planner.expected.draws import Turned
from planner.schedule.encode import Names
from planner.schedule.expected.replicate import Replications, replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Floats, Instance, Ints
from planner.schedule.solution import Solution
from planner.settled.branches import Branched, through_branches


@dataclass(frozen=True)
class Candidate:
    """A plan and what the workshop does when a tool is late. inst: its lots, waiting as they do in it."""

    inst: Instance
    solution: Solution
    takes_ready: bool
    certain: bool = False
    """Whether it is the plan of a world in which all goes as likely."""
    branched: Branched | None = None
    """What is done once it is known how a thing turns out; then the solution is that of its first turn."""


@dataclass(frozen=True)
class Judged:
    """What a candidate comes to. cost (K): money, inf where it cannot be carried out. chances: tier -> share of
    scenarios in which its last parcel leaves by the promised day. packed: tier -> (K) s when its last batch is packed,
    leaves: day number on which it leaves.
    """

    candidate: Candidate
    cost: Floats
    planned: float
    chances: dict[str, float]
    chance_all: float | None
    packed: dict[str, Ints]
    leaves: dict[str, Ints]

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


def followed_through(
    candidate: Candidate, scenarios: Scenarios, groups: Ints, threads: int, turned: Turned | None = None
) -> Replications:
    """Follow a candidate through all scenarios, by group of pack batches; where it has branches, through that of each
    scenario's turn."""
    one = candidate.branched
    if one is None or one.same or turned is None:
        return replicated(candidate.inst, candidate.solution, scenarios, candidate.takes_ready, groups, threads)
    return through_branches(one, turned[one.thing.id], scenarios, candidate.takes_ready, groups, threads)


def judge(
    names: Names, candidate: Candidate, scenarios: Scenarios, threads: int, turned: Turned | None = None
) -> Judged:
    """Follow a candidate through all scenarios. turned: how things turn out in them, for a candidate with branches."""
    tiers = sorted({b.tier for b in names.batches})
    number = {tier: n for n, tier in enumerate(tiers)}
    groups = np.array([number[b.tier] for b in names.batches], dtype=np.int64)
    inst = candidate.inst
    done = followed_through(candidate, scenarios, groups, threads, turned)
    chances: dict[str, float] = {}
    leaves: dict[str, Ints] = {}
    kept = np.ones(scenarios.number, dtype=np.bool_)
    for tier, n in number.items():
        promised = names.campaign.tiers[tier].promised
        leaves[tier] = left_by(inst, done, scenarios, n)
        if promised is None:
            continue
        met = leaves[tier] <= promised.toordinal()
        kept &= met
        chances[tier] = float(met.mean())
    return Judged(
        candidate,
        done.cost,
        done.planned,
        chances,
        float(kept.mean()) if chances else None,
        {tier: done.packed[:, n] for tier, n in number.items()},
        leaves,
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
        short = sum(max(0.0, chance - one.chances.get(tier, 0.0)) for tier, chance in asked.items())
        return one.not_done, round(short, 9), one.mean, not one.candidate.certain

    return min(judged, key=rank)
