"""What a plan does in each of many scenarios: one call, the loop over them compiled."""

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.campaign.planning import Policy
from planner.schedule import timing as w
from planner.schedule.expected.again import again_for
from planner.schedule.expected.climb import Climb, climbed, no_climb
from planner.schedule.expected.planned import planned_for
from planner.schedule.expected.recourse import Recourse, as_planned, through
from planner.schedule.expected.scenarios import NOTHING, Scenarios, in_look, own_instance, packed_scenarios
from planner.schedule.instance import NEVER, Floats, Instance, Ints, packed_instance
from planner.schedule.jit import entry, inner
from planner.schedule.packed import pack
from planner.schedule.sequences import Sequences
from planner.schedule.solution import Solution
from planner.schedule.timing import Timing, timing_for


class Replicated(NamedTuple):
    """What is asked, and written in place: K scenarios, G groups of B pack batches."""

    span: Ints  # (2) the first scenario to follow, and behind the last
    groups: Ints  # (B) of each batch
    cost: Floats  # (K) money; inf: it cannot be carried out
    packed: Ints  # (K, G) s when the group's last batch is packed
    pickup: Ints  # (K, G) index of the pick-up its last batch leaves with, -1: never
    moulded: Ints  # (K) s when the last run ends

    @classmethod
    def room(cls, number: int, groups: Ints) -> "Replicated":
        """For so many scenarios, of which none can be carried out so far."""
        several = int(groups.max(initial=0)) + 1
        return cls(
            np.array([0, number], dtype=np.int64), np.ascontiguousarray(groups, dtype=np.int64),
            np.full(number, np.inf),
            np.full((number, several), NEVER, dtype=np.int64),
            np.full((number, several), -1, dtype=np.int64),
            np.full(number, NEVER, dtype=np.int64),
        )  # fmt: skip


@dataclass(frozen=True)
class Replications:
    """What happened in each scenario, by group of pack batches (G). NEVER where it could not be carried out.

    cost (K): money, inf where it could not. packed (K, G): second at which the group's last batch is packed. pickup (K,
    G): index of the pick-up it leaves with, -1 where never. moulded (K): second at which the last run ends. planned:
    money as planned.
    """

    cost: Floats
    packed: Ints
    pickup: NDArray[np.int32]
    moulded: Ints
    planned: float


def recourse_for(
    inst: Instance, scenarios: Scenarios, policy: Policy = "as planned", to_the_letter: bool = False,
    likely: Timing | None = None,
) -> Recourse:  # fmt: skip
    """Room to follow plans of the instance through scenarios; see `replicated`. likely: where plans are timed as
    planned; None: where they are timed in scenarios, too."""
    timing = timing_for(inst)
    planned = planned_for(inst, to_the_letter)
    likely_begin = {"as planned": NOTHING, "first ready": planned.begin, "plan again": planned.begin.copy()}
    own = own_instance(inst, scenarios, likely_begin[policy], waits=policy != "as planned")
    again = np.array([policy == "plan again"], dtype=np.int64)
    likely, room = timing if likely is None else likely, again_for(inst, scenarios)
    return pack(Recourse(own, packed_scenarios(scenarios), timing, likely, planned, room, again))


@entry
def through_scenarios(
    inst: Instance, recourse: Recourse, plan: Sequences, found: Replicated, climb: Climb, work: int, hot: float,
    cold: float,
) -> float:  # fmt: skip
    """Go on from a plan to such as cost less on average, as `climbed` says; without work, follow it through scenarios:
    its money as planned, inf if that cannot be carried out.

    One entry for both, as nearly all that either calls is the same: apart they take a tenth longer to build.
    """
    if work > 0:
        return float(climbed(inst, recourse, plan, climb, work, hot, cold))
    return _replicate(inst, recourse, plan, found)


@inner
def _replicate(inst: Instance, recourse: Recourse, plan: Sequences, found: Replicated) -> float:
    """Follow the plan through the scenarios asked for."""
    span, groups, scenarios = found.span, found.groups, recourse.scenarios
    timing, planned = recourse.timing, recourse.planned
    if as_planned(inst, timing, plan, planned) == np.inf:
        return np.inf
    money = float(timing.totals[w.COST])
    for k in range(span[0], span[1]):
        if through(inst, recourse, k, plan) == np.inf:
            continue
        found.cost[k] = timing.totals[w.COST]
        if scenarios.extra_cost.size > 0:
            found.cost[k] += scenarios.extra_cost[k]
        for g in range(found.packed.shape[1]):
            found.packed[k, g] = 0
        for b in range(groups.size):
            g = groups[b]
            found.packed[k, g] = max(found.packed[k, g], timing.batches[b, w.ENDED])
            found.pickup[k, g] = max(found.pickup[k, g], timing.batches[b, w.PICKUP])
        end = 0
        for lot in range(timing.lots.shape[0]):
            end = max(end, timing.lots[lot, w.END])
        found.moulded[k] = end
    return money


def replicated(
    inst: Instance,
    solution: Solution,
    scenarios: Scenarios,
    policy: Policy = "as planned",
    groups: Ints | None = None,
    threads: int = 1,
    to_the_letter: bool = False,
) -> Replications:
    """Follow an order of work through all scenarios. The answer does not depend on threads.

    inst: its lots wait as it has them wait. policy: what a press does whose next tool is late. groups (B): of
    pack batches, from 0; None: all are one. to_the_letter: benches keep the order of service even where a batch waits.
    """
    groups = np.zeros(inst.batch_work.size, dtype=np.int64) if groups is None else groups
    if (scenarios.look >= 0).any():
        return _by_look(inst, solution, scenarios, policy, groups, threads, to_the_letter)
    found = Replicated.room(scenarios.number, groups)
    cuts = [scenarios.number * n // threads for n in range(threads + 1)]

    def some(n: int) -> float:
        own = recourse_for(inst, scenarios, policy, to_the_letter)
        span = np.array(cuts[n : n + 2], dtype=np.int64)
        return _followed(inst, own, solution, found._replace(span=span))

    money: Sequence[float]
    if threads == 1:
        money = [some(0)]
    else:
        with ThreadPoolExecutor(threads) as pool:
            money = list(pool.map(some, range(threads)))
    return Replications(found.cost, found.packed, found.pickup.astype(np.int32), found.moulded, money[0])


def follow_through(
    inst: Instance, solution: Solution, scenarios: Scenarios, k: int = 0, policy: Policy = "as planned"
) -> Recourse:
    """Follow an order of work through one of the scenarios: the room in which that was done, as it was left."""
    recourse = recourse_for(inst, scenarios, policy)
    alone = Replicated.room(scenarios.number, np.zeros(inst.batch_work.size, dtype=np.int64))
    _followed(inst, recourse, solution, alone._replace(span=np.array([k, k + 1], dtype=np.int64)))
    return recourse


def _followed(inst: Instance, recourse: Recourse, solution: Solution, found: Replicated) -> float:
    compiled: Any = through_scenarios
    return float(compiled(packed_instance(inst), recourse, solution.packed(), pack(found), _NO_CLIMB, 0, 1.0, 1.0))


_NO_CLIMB = no_climb()


def _by_look(
    inst: Instance, solution: Solution, scenarios: Scenarios, policy: Policy, groups: Ints, threads: int,
    to_the_letter: bool,
) -> Replications:  # fmt: skip
    """As `replicated`, where colours have other recipes in some of the scenarios."""
    number, several = scenarios.number, int(groups.max(initial=0)) + 1
    found = Replications(
        np.full(number, np.inf),
        np.full((number, several), NEVER, dtype=np.int64),
        np.full((number, several), -1, dtype=np.int32),
        np.full(number, NEVER, dtype=np.int64),
        replicated(inst, solution, Scenarios(1), policy).planned,
    )
    for look, rows in scenarios.by_look():
        told = scenarios.rows(rows)._replace(look=NOTHING)
        there, few = in_look(inst, scenarios, look), min(threads, max(1, rows.size))
        done = replicated(there, solution, told, policy, groups, few, to_the_letter)
        found.cost[rows], found.packed[rows], found.pickup[rows] = done.cost, done.packed, done.pickup
        found.moulded[rows] = done.moulded
    return found
