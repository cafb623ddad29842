"""What no plan can cost less than on average, wherever tools stand that may go to several places and whoever makes how
many of what several tools make (RULES.md, S7.2).

In each scenario that is the least of the bounds of all ways in which tools may stand. A plan settles its way before
anything turns out, so the least of each way's own mean would hold too and be higher; but whoever knew everything
beforehand would choose the way as well, and what that would save is told by the same figure.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from planner.campaign import Campaign
from planner.demand.standing import at_places, settled, ways
from planner.demand.weight_orders import with_price_breaks
from planner.expected.bound import MOST, MeanBound, bound_in, told_of
from planner.expected.in_scenario import scenario_instance
from planner.promise.replications import written
from planner.promise.scenarios import draw
from planner.schedule.bounds.several_tools import SharedWork, bound_over_shares
from planner.schedule.construct import first_plans
from planner.schedule.encode import Names, compile_campaign, compiled_for_shares
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.solution import Solution
from planner.schedule.timing import timing_for
from planner.settled import things

BASIS = (
    "the mean over scenarios of what no plan can undercut in each, known beforehand, wherever tools work that may go "
    "to several places and whoever makes how many"
)


@dataclass(frozen=True)
class Way:
    """One way in which tools may stand. works: of what several tools make; then the instance is that of
    `compiled_for_shares`. followed: the same, or as if nothing waited for parts; solution: any plan of that, on whose
    lots extra shots go."""

    inst: Instance
    followed: Instance
    solution: Solution
    scenarios: Scenarios
    works: Sequence[SharedWork]

    def bound_in(self, k: int) -> float:
        """Money that no plan can undercut in scenario k with tools standing so."""
        if not self.works:
            return bound_in(self.inst, self.solution, self.scenarios, k)
        there = scenario_instance(self.followed, self.solution, self.scenarios, k)
        there = there._replace(job_qty=self.inst.job_qty, batch_qty=self.inst.batch_qty)
        return bound_over_shares(there, self.works) + float(self.scenarios.extra_cost[k])


def mean_bound_over_ways(names: Names, seed: int, go_on: Callable[[int], bool]) -> MeanBound | None:
    """Bound scenario after scenario, in every way, while `go_on(how many)`. None where there are too few for an error,
    or a way cannot be bounded. seed: of the scenarios."""
    campaign = names.anywhere or names.campaign
    planning = campaign.planning.model_copy(update={"made_by": []})  # that is how this plan shares, not every one
    free = campaign.model_copy(update={"planning": planning})
    every = [at_places(free, way) for way in ways(free)] or [settled(free)]
    standing = []
    for each in every:
        one = _way(each, names, seed) if go_on(0) else None
        if one is None:
            return None
        standing.append(one)
    found: list[float] = []
    while len(found) < MOST and go_on(len(found)):
        found.append(min(one.bound_in(len(found)) for one in standing))
    return told_of(found, BASIS)


def _way(campaign: Campaign, names: Names, seed: int) -> Way | None:
    """Tools at one place each; None where that cannot be bounded: another recipe is worked out for plans that say who
    makes how many, and extra shots have to go onto the lots of some plan."""
    campaign = with_price_breaks(campaign)
    drawn = draw(campaign, MOST, seed)
    shared = compiled_for_shares(campaign, names.refused)
    if shared is None:
        inst, own = compile_campaign(campaign, names.refused)
        followed, works = inst, list[SharedWork]()
    else:
        if any(turn.recipes for thing in things(campaign) for turn in thing.turns):
            return None
        inst, own, works = shared
        # what several tools make has the fewest shots that can do, in every scenario
        together = {own.runs[run].tool for work in works for run in work.runs}
        scrap = {tool: share for tool, share in drawn.scrap_share.items() if tool not in together}
        drawn = replace(drawn, scrap_share=scrap)
        # there nobody makes enough for all
        followed = inst._replace(job_qty=np.zeros_like(inst.job_qty), batch_qty=np.zeros_like(inst.batch_qty))
    plans = first_plans(followed, packed_instance(followed), timing_for(followed))
    return Way(inst, followed, plans[0][1], written(inst, own, drawn), works) if plans else None
