"""An order of work followed through drawn scenarios, for tests and benchmarks that have no plan's document."""

from planner.campaign.planning import Policy
from planner.promise.replications import groups_of, written
from planner.promise.scenarios import FactorDraws
from planner.schedule.encode import Names
from planner.schedule.expected.replicate import Replications, replicated
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution


def replications_of(
    inst: Instance,
    names: Names,
    solution: Solution,
    drawn: FactorDraws,
    policy: Policy = "as planned",
    threads: int = 1,
) -> Replications:
    return replicated(inst, solution, written(inst, names, drawn), policy, groups_of(names), threads)
