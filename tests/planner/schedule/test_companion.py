"""A second walk beside the first: the better plan of both is kept, and each goes on from a place of its own."""

from benchmarks.generator import sized
from planner.schedule.compiled import compile_campaign
from planner.schedule.construct import first_plans
from planner.schedule.glance_tables import glance_for
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import LAST, timing_for
from planner.schedule.walk import BEST
from planner.schedule.walker import Companion, Walker


def test_the_better_plan_of_two_walks_is_kept():
    """Whichever of both finds it. The best of both is never worse than that of the first walking alone."""
    inst, _ = compile_campaign(sized("S", 3))
    arrays, timing = packed_instance(inst), timing_for(inst)
    value, plan = first_plans(inst, arrays, timing)[0]
    objective_of(arrays, plan, timing)
    last = float(timing.totals[LAST])
    found_by_the_second = 0
    for seed in range(6):
        alone, first = (Walker(inst, arrays, plan, value, glance_for(inst, last), seed) for _ in range(2))
        both = Companion(inst, first, seed)
        try:
            improved = 0
            for _ in range(3):
                alone.steps(4_000, 1.0, 0.1)
                improved += both.steps(4_000, 1.0, 0.1)
        finally:
            both.end()
        second = both.walker
        best = float(first.values[BEST])
        assert best == min(alone.values[BEST], second.values[BEST]) < value
        assert improved > 0
        assert abs(objective_of(arrays, first.best, timing) - best) < 1e-6
        found_by_the_second += second.values[BEST] < alone.values[BEST]
        second_best = second.best.lots()
        both.cool_again()
        assert first.here.lots() == first.best.lots()
        assert second.here.lots() == second_best
    assert 0 < found_by_the_second < 6
