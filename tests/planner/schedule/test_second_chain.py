"""A second chain beside the first: the better plan of both is kept, and each goes on from a place of its own."""

from benchmarks.generator import sized
from planner.schedule.annealing import BEST
from planner.schedule.chain import Chain, SecondChain
from planner.schedule.construct import first_plans
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import LAST, timing_for


def test_the_better_plan_of_two_chains_is_kept():
    """Whichever of both finds it. The best of both is never worse than that of the first alone."""
    inst, _ = compile_campaign(sized("S", 3))
    arrays, timing = packed_instance(inst), timing_for(inst)
    value, plan = first_plans(inst, arrays, timing)[0]
    objective_of(arrays, plan, timing)
    last = float(timing.totals[LAST])
    found_by_the_second = 0
    for seed in range(6):
        alone, first = (Chain(inst, arrays, plan, value, delta_tables_for(inst, last), seed) for _ in range(2))
        both = SecondChain(inst, first, seed)
        try:
            improved = 0
            for _ in range(3):
                alone.steps(4_000, 1.0, 0.1)
                improved += both.steps(4_000, 1.0, 0.1)
        finally:
            both.end()
        second = both.chain
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
