"""The lots behind which each lot's changeover is cheapest."""

import numpy as np

from benchmarks.generator import sized
from benchmarks.plain_workshop import least_lateness, workshop
from planner.schedule.encode import compile_campaign
from planner.schedule.neighbours import NEAR, cheapest_before


def test_nearest_first_by_seconds_where_nothing_costs_money() -> None:
    """Every job's own column of the set-ups, sorted; no job is its own neighbour."""
    setups = [[0, 7, 3, 5], [2, 0, 9, 1], [8, 4, 0, 6], [5, 5, 1, 0]]
    inst = least_lateness(workshop([[9, 9, 9, 9]], setups=[setups]))
    near = cheapest_before(inst, np.zeros(1), np.zeros(5))
    assert near.tolist() == [[1, 3, 2], [2, 3, 0], [3, 0, 1], [1, 0, 2]]


def test_a_lot_alone_and_none_at_all() -> None:
    alone = workshop([[3]])
    assert cheapest_before(alone, np.ones(1), np.zeros(2)).tolist() == [[0]]
    none = alone._replace(lot_run=np.zeros(0, dtype=np.int64), run_tool=np.zeros(0, dtype=np.int64))
    assert cheapest_before(none, np.ones(1), np.zeros(2)).shape == (0, 1)


def test_other_lots_of_the_same_run_come_first() -> None:
    """Nothing has to be changed between them."""
    inst, _ = compile_campaign(sized("S", 1))
    near = cheapest_before(inst, np.ones(inst.restart_s.size), inst.waste_cost_kg)
    assert near.shape == (inst.lot_run.size, NEAR)
    split = 0
    for lot, run in enumerate(inst.lot_run):
        same = int((inst.lot_run == run).sum()) - 1
        assert {int(inst.lot_run[other]) for other in near[lot, :same]} <= {int(run)}
        split += same > 0
    assert split > 0
