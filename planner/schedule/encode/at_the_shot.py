"""Runs that are moulded over what other runs make, or over bought-in pieces: none begins before all of it is there
(RULES.md, O2). Kept as the order of runs that a maker wishes for is kept."""

import numpy as np

from planner.campaign import Campaign
from planner.demand.at_the_shot import moulds_over, parts_in_a_shot, pieces_in_a_shot
from planner.demand.items import RunDemand
from planner.schedule.encode.goods import Goods
from planner.schedule.encode.wishes import keeping
from planner.schedule.instance import NEVER, Instance


def with_moulding_over(inst: Instance, campaign: Campaign, runs: list[RunDemand], goods: Goods) -> Instance:
    """The instance in which runs wait for what goes into their moulds."""
    if not moulds_over(campaign):
        return inst
    inst = keeping(inst)
    begin, after = inst.run_from.copy(), inst.run_after.copy()
    rest = np.zeros(after.shape, dtype=np.int64)
    for r, run in enumerate(runs):
        under = set(parts_in_a_shot(campaign, run.tool))
        for q, other in enumerate(runs):
            if any(item.item in under and item.to_mould for item in other.items):
                after[r, q] = True
                rest[r, q] = max(int(goods.rest[goods.index[item.item]]) for item in other.items if item.item in under)
        for piece in pieces_in_a_shot(campaign, run.tool):
            begin[r] = max(int(begin[r]), _all_there(goods, goods.index[piece]))
    return inst._replace(run_from=begin, run_after=after, after_rest=rest)


def _all_there(goods: Goods, good: int) -> int:
    """When all the pieces that go into moulds have come: what is counted then is what is left for the benches."""
    for step in range(goods.piece_ptr[good], goods.piece_ptr[good + 1]):
        if goods.piece_count[step] >= 0:
            return int(goods.piece_t[step])
    return NEVER
