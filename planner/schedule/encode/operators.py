"""People who stay at presses while they mould (RULES.md, R26), as arrays of an Instance."""

from collections.abc import Sequence

import numpy as np

from planner.campaign import Campaign
from planner.campaign.operators import operator_rate, operators_at, too_few
from planner.demand.items import RunDemand
from planner.schedule.encode.arrays import ints
from planner.schedule.instance import Instance


def with_operators(inst: Instance, campaign: Campaign, presses: Sequence[str], runs: Sequence[RunDemand]) -> Instance:
    """The instance in which runs ask for people. Where there are enough for every press at once, whatever is in it,
    nobody is ever waited for."""
    asked = np.array([campaign.tools[run.tool].operators for run in runs], dtype=np.int64)
    if not asked.any():
        return inst
    rates = np.array([operator_rate(campaign, press) / 3600 for press in presses])
    inst = inst._replace(tended=1, run_operators=asked, tending_cost_s=rates[:, None] * asked)
    if not too_few(campaign):
        return inst
    where = [campaign.presses[press].place for press in presses]
    spans: dict[str | None, tuple[int, int]] = {}
    first = 0
    for place in dict.fromkeys(where):
        spans[place] = first, first + operators_at(campaign, place)
        first = spans[place][1]
    return inst._replace(
        operators=first,
        operator_first=ints(spans[place][0] for place in where),
        operator_last=ints(spans[place][1] for place in where),
    )
