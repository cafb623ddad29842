"""The chain's short cuts give the value that timing the whole plan gives; an estimate is exact where it can be."""

import subprocess
import sys
from typing import Any

import numpy as np

from benchmarks.generator import sized, small
from benchmarks.plain_workshop import least_lateness, workshop
from planner.schedule.annealing import (
    BEST,
    DOUBT,
    DRAWS,
    ESTIMATES,
    HERE,
    ORDER_MATTERS,
    TAKEN,
    TIMED,
    VALUES,
    ChainState,
    anneal,
)
from planner.schedule.construct import first_plans
from planner.schedule.delta_tables import delta_tables_for, order_matters
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.packed import pack
from planner.schedule.rng import seeded
from planner.schedule.rule_of_thumb import rule_of_thumb
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import LAST, timing_for


def annealed(
    inst: Instance, seed: int, work: int, draws: int, hot: float = 30.0, cold: float = 1.0
) -> tuple[Solution, Solution, Any]:
    """Where a warm chain from the first plan ends, the best it saw, and its values."""
    arrays, timing = packed_instance(inst), timing_for(inst)
    value, first = first_plans(inst, arrays, timing)[0]
    objective_of(arrays, first, timing)
    delta = delta_tables_for(inst, float(timing.totals[LAST]))
    here, best, trial = first.copy(), first.copy(), first.copy()
    values = np.zeros(VALUES)
    values[HERE] = values[BEST] = value
    values[ORDER_MATTERS], values[DRAWS] = float(order_matters(inst)), draws
    scratch = np.zeros((2, max(inst.lot_run.size, inst.batch_work.size, inst.run_tool.size)), dtype=np.int64)
    chain = pack(ChainState(best.packed(), trial.packed(), delta, scratch, values, seeded(seed)))
    steps: Any = anneal
    assert steps(arrays, timing, here.packed(), chain, 0, hot, cold) == 0, "without work nothing is better"
    improved = steps(arrays, timing, here.packed(), chain, work, hot, cold)
    assert (improved > 0) == (values[BEST] < value)
    return here, best, values


def test_what_a_chain_ends_with_is_what_timing_the_whole_plan_gives() -> None:
    """Needs and moments are worked out anew only where a step changes them: to the last bit the same objective."""
    taken = 0
    for seed in range(40):
        inst, _ = compile_campaign(small(seed))
        if not first_plans(inst, packed_instance(inst), timing_for(inst)):
            continue
        here, best, values = annealed(inst, seed, 20_000, 1 + seed % 3)
        arrays, timing = packed_instance(inst), timing_for(inst)
        assert objective_of(arrays, here, timing) == values[HERE], seed
        assert objective_of(arrays, best, timing) == values[BEST], seed
        assert sorted(lot for lots in here.lots() for lot in lots) == list(range(inst.lot_run.size))
        assert sorted(here.order.tolist()) == list(range(inst.batch_work.size))
        taken += int(values[TAKEN])
    assert taken > 2_000


def test_a_share_of_what_an_estimate_finds_too_dear_is_timed() -> None:
    """Going downhill nearly every move looks too dear in the end: of several presses some are timed, of one none."""
    timed = {}
    for seed in (1, 2):
        several = compile_campaign(sized("S", seed))[0]
        alone = least_lateness(
            workshop([[60, 30, 45, 20, 70, 35]], due=[90, 60, 200, 30, 150, 80], late=[1, 2, 3, 1, 2, 3])
        )
        for inst in (several, alone):
            long, short = (annealed(inst, seed, work, 1, 1e-6, 1e-6)[2] for work in (400_000, 200_000))
            timed[seed, inst.restart_s.size] = (long[TIMED] - short[TIMED]) / (long[ESTIMATES] - short[ESTIMATES])
    assert all((share > 0.8 * DOUBT) == (presses > 1) for (_, presses), share in timed.items())


def test_the_rule_of_thumb_is_among_the_first_plans() -> None:
    """So no search ends with a plan worse than it, whatever the aim."""
    for seed in range(5):
        inst, _ = compile_campaign(sized("S", seed))
        arrays, timing = packed_instance(inst), timing_for(inst)
        rule = rule_of_thumb(inst)
        assert rule is not None
        assert first_plans(inst, arrays, timing)[0][0] <= objective_of(arrays, rule, timing)


PLAIN = """
import random
import numpy as np
from benchmarks.plain_workshop import least_lateness, workshop
from planner.schedule import timing as w
from planner.schedule.bench_parts import allot, refresh
from planner.schedule.bench_decoder import run_benches
from planner.schedule.delta_estimate import delta_estimate, place, weigh
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.evaluate import objective
from planner.schedule.press_decoder import run_presses
from planner.schedule.solution import Solution
from planner.schedule.instance import packed_instance
from planner.schedule.timing import timing_for

draw = random.Random(1)
compared = moved = 0
for _ in range(8):
    n = 7
    inst = least_lateness(workshop(
        [[draw.randint(1, 20) for _ in range(n)]],
        setups=[[[draw.randint(0, 9) for _ in range(n)] for _ in range(n)]],
        first=[[draw.randint(0, 9) for _ in range(n)]],
        due=[draw.randint(5, 90) for _ in range(n)], late=[draw.randint(1, 9) for _ in range(n)],
    ))
    arrays, m = packed_instance(inst), timing_for(inst)

    def timed(plan):
        assert run_presses(arrays, plan, m)
        m.known[:] = -1
        allot(arrays, m, plan.order, plan.order, True)
        refresh(arrays, m)
        assert run_benches(arrays, m)
        return objective(arrays, m.totals)

    plan = Solution.empty(inst)
    for lot in draw.sample(range(n), n):
        plan.append(0, lot)
    other = plan.copy()
    for _ in range(6):
        value = timed(plan)
        g = delta_tables_for(inst, float(m.totals[w.LAST]))
        place(arrays, plan, m.lots, g)
        weigh(arrays, m, g)
        other.seq[0] = draw.sample(range(n), n) if draw.random() < 0.5 else plan.seq[0]
        a, b = draw.sample(range(n), 2)
        other.seq[0, a], other.seq[0, b] = other.seq[0, b], other.seq[0, a]
        change = delta_estimate(arrays, plan, other, g, 0, np.inf)
        most = change * draw.random() - draw.randint(0, 50)
        cut = delta_estimate(arrays, plan, other, g, 0, most)
        assert cut > most if change > most else cut == change, (cut, most, change)
        after = timed(other)
        assert abs(value + change - after) < 1e-6, (value, change, after)
        compared += 1
        moved += after != value
        plan, other = other, plan
assert compared == 48 and moved > 40
"""


def test_an_estimate_is_exact_where_presses_do_not_meet() -> None:
    """One press, set-ups, weighted tardiness: the change read off is the change there is. Run as plain Python."""
    run = subprocess.run(
        [sys.executable, "-c", PLAIN], env={"NUMBA_DISABLE_JIT": "1", "PYTHONPATH": ":".join(sys.path)},
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert run.returncode == 0, run.stderr
