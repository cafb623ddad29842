"""An order of work and days that people were told, as arrays of an Instance."""

import numpy as np

from planner.campaign.order_of_work import Told
from planner.schedule.encode import Names
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution
from planner.schedule.stability import NOT_ANNOUNCED


def with_announced(inst: Instance, names: Names, order: Solution, told: Told) -> Instance:
    """The instance in which moving from this order of work, and from the days told, has its price."""
    place = np.full((inst.lot_run.size, 2), NOT_ANNOUNCED, dtype=np.int64)
    for p, lots in enumerate(order.lots()):
        for behind, lot in zip([-1, *lots], lots, strict=False):
            place[lot] = p, behind
    tiers = list(told.days)
    tier_of = [tiers.index(batch.tier) if batch.tier in tiers else -1 for batch in names.batches]
    return inst._replace(
        announced=1,
        moving_run=told.moving_a_run,
        moving_day=told.moving_a_date if tiers else 0.0,
        announced_place=place,
        announced_tier=np.array(tier_of, dtype=np.int64),
        announced_day=np.array([day.toordinal() for day in told.days.values()], dtype=np.int64),
    )
