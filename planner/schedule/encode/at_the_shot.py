"""Runs that are moulded over what other runs make, or over bought-in pieces: each lot takes all it needs as it begins
(RULES.md, O2)."""

import numpy as np

from planner.campaign import Campaign
from planner.demand.at_the_shot import moulds_over, parts_in_a_shot, pieces_in_a_shot
from planner.demand.items import RunDemand
from planner.schedule.encode.arrays import ints, pointers
from planner.schedule.encode.goods import Goods
from planner.schedule.encode.wishes import keeping
from planner.schedule.instance import Instance


def with_moulding_over(inst: Instance, campaign: Campaign, runs: list[RunDemand], goods: Goods) -> Instance:
    """The instance in which runs wait for what goes into their moulds."""
    if not moulds_over(campaign):
        return inst
    inst = keeping(inst)
    over: list[list[tuple[int, int]]] = []
    for run in runs:
        mine = [(goods.index[item], number) for item, number in sorted(parts_in_a_shot(campaign, run.tool).items())]
        mine += [(goods.index[piece], number) for piece, number in sorted(pieces_in_a_shot(campaign, run.tool).items())]
        over.append(mine)
    total = np.zeros(len(goods.names), dtype=np.int64)
    for item, number in goods.into.parts.items():
        total[goods.index[item]] = number
    for piece, number in goods.into.pieces.items():
        total[goods.index[piece]] = number
    return inst._replace(
        over_ptr=pointers(over),
        over_good=ints(good for mine in over for good, _ in mine),
        over_number=ints(number for mine in over for _, number in mine),
        over_total=total,
    )
