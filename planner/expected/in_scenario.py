"""Instances in which a scenario is written down: to search in hindsight, to bound, and to start from."""

from typing import Any

import numpy as np

from planner.schedule.expected.replicate import follow_through
from planner.schedule.expected.scenarios import Scenarios, in_look
from planner.schedule.instance import NONE, Instance
from planner.schedule.solution import Solution

WRITTEN = (
    "tool_ready", "good_count_shots", "lot_shots", "shot_num", "shot_den", "startup_s", "supply_t", "piece_t",
    "mount_s", "insert_s", "purge_s", "hot_s", "compound_s", "hot_compound_s", "job_work", "batch_work", "pickup_day",
)  # fmt: skip


def scenario_instance(inst: Instance, solution: Solution, scenarios: Scenarios, k: int) -> Instance:
    """The instance as it is in scenario k, extra shots on the lots where the plan puts them."""
    if scenarios.look.size:
        inst = in_look(inst, scenarios, int(scenarios.look[k]))
    there = follow_through(inst, solution, scenarios, k).own
    arrays: dict[str, Any] = {name: getattr(there, name) for name in WRITTEN}
    return inst._replace(**arrays, lot_release=NONE)


def later_instance(inst: Instance, solution: Solution, scenarios: Scenarios, share: float) -> Instance:
    """The instance in which everything that may be late is as late as it is with this chance at most; paces are the
    mean."""
    return scenario_instance(inst, solution, typical(scenarios, share), 0)


def typical(scenarios: Scenarios, share: float) -> Scenarios:
    """The one scenario of `later_instance`."""

    def late(rows: Any) -> Any:
        return np.rint(np.quantile(rows, share, axis=0, keepdims=True)).astype(np.int64) if len(rows) else rows

    def mean(rows: Any) -> Any:
        return rows.mean(axis=0, keepdims=True) if len(rows) else rows

    return Scenarios(
        1,
        ready=late(scenarios.ready), supply_s=late(scenarios.supply_s), piece_s=late(scenarios.piece_s),
        cycle=mean(scenarios.cycle), press=mean(scenarios.press), mount=mean(scenarios.mount),
        purge=mean(scenarios.purge), assembly=mean(scenarios.assembly), packing=mean(scenarios.packing),
    )  # fmt: skip
