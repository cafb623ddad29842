"""One chain of moves over the mean of scenarios, and all it needs to go on."""

from typing import Any

import numpy as np

from planner.campaign.planning import Policy
from planner.schedule.delta_tables import delta_tables_for, order_matters
from planner.schedule.expected.climb import (
    BEST,
    HERE,
    LOOKED_AT,
    MOST,
    NEVER_COST,
    ORDERED,
    SERVED,
    STANDS,
    VALUES,
    Climb,
)
from planner.schedule.expected.replicate import Replicated, recourse_for, through_scenarios
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.packed import pack
from planner.schedule.rng import seeded
from planner.schedule.solution import Solution
from planner.schedule.timing import timing_for

FAR_DEARER = 20.0
"""A scenario that cannot be carried out counts so many times the most a plan may cost as planned."""

_NOT_FOLLOWED = pack(Replicated.room(1, np.zeros(0, dtype=np.int64)))


def copy_into(plan: Solution, other: Solution) -> None:
    """Make a plan the same as another one of its instance."""
    plan.seq[:], plan.length[:], plan.order[:] = other.seq, other.length, other.order


class MeanChain:
    """A chain from a plan. most: objective as planned that no plan may exceed. policy: see `replicated`. served:
    batches at the head of the order of service that stay where they are."""

    def __init__(
        self, inst: Instance, start: Solution, scenarios: Scenarios, most: float, last: float, seed: int,
        policy: Policy, served: int = 0,
    ) -> None:  # fmt: skip
        self.inst, self.packed = inst, packed_instance(inst)
        self.recourse = recourse_for(inst, scenarios, policy, likely=timing_for(inst))
        self.here, self.best, self.trial = start.copy(), start.copy(), start.copy()
        self.best.release = None  # it is written over, and its lots wait for nothing of their own
        self.values = np.zeros(VALUES)
        self.values[BEST] = self.values[HERE] = np.inf
        self.values[MOST], self.values[NEVER_COST] = most, FAR_DEARER * (1.0 + abs(most))
        self.values[ORDERED] = 1.0 if order_matters(inst) else 0.0
        self.values[SERVED] = served
        self.values[LOOKED_AT] = self.scenarios = scenarios.number
        wide = max(inst.lot_run.size, inst.batch_work.size, inst.run_tool.size)
        self.climb = pack(
            Climb(
                self.best.packed(), self.trial.packed(), delta_tables_for(inst, last),
                np.zeros((2, wide), dtype=np.int64), np.zeros(scenarios.number), np.zeros(scenarios.number),
                self.values, seeded(seed),
            )
        )  # fmt: skip

    def look_at(self, number: int, start: Solution) -> None:
        """Go on from a plan, judging by so many of the scenarios, at most all."""
        copy_into(self.here, start)
        copy_into(self.best, start)
        self.values[BEST] = self.values[HERE] = np.inf
        self.values[STANDS] = 0.0
        self.values[LOOKED_AT] = min(number, self.scenarios)

    def go_on(self, work: int, hot: float, cold: float) -> int:
        """So many timings more; how often the best was improved, -1 where it cannot be carried out as planned."""
        compiled: Any = through_scenarios
        plan = self.here.packed()
        return int(compiled(self.packed, self.recourse, plan, _NOT_FOLLOWED, self.climb, work, hot, cold))

    @property
    def mean(self) -> float:
        """The least mean objective seen."""
        return float(self.values[BEST])
