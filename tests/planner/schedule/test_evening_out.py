"""The loads of several presses by themselves: what they are read off from, what they find, what they leave alone."""

from itertools import pairwise, permutations, product

import numpy as np
import pytest

from benchmarks.generator import sized
from benchmarks.plain_workshop import least_makespan, workshop
from planner.control import Unhurried
from planner.schedule.annealing import BEST
from planner.schedule.chain import Chain, SecondChain
from planner.schedule.construct import first_plans
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.encode import aimed, compile_campaign
from planner.schedule.evening_out import worth_it
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.press_loads import LATEST
from planner.schedule.search import Budget, search
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import LAST, timing_for


def machines(jobs: int, presses: int, seed: int) -> Instance:
    """Unrelated machines with set-ups, the last job to be done soonest; some jobs fit some machines only."""
    draw = np.random.default_rng(seed)
    seconds = draw.integers(5, 60, (presses, jobs))
    seconds[1:][draw.random((presses - 1, jobs)) < 0.15] = -1
    return least_makespan(
        workshop(seconds.tolist(), setups=draw.integers(1, 20, (presses, jobs, jobs)).tolist())
    )  # fmt: skip


def chain_of(inst: Instance, seed: int) -> Chain:
    arrays, timing = packed_instance(inst), timing_for(inst)
    value, first = first_plans(inst, arrays, timing)[0]
    objective_of(arrays, first, timing)
    chain = Chain(inst, arrays, first, value, delta_tables_for(inst, float(timing.totals[LAST])), seed)
    chain.anneal(200, 1.0, 0.1)
    return chain


def evened(chain: Chain, moves: int) -> list[Solution]:
    """What so many moves find, a piece at a time."""
    assert chain.evening is not None
    pieces = [chain.evening.go_on(chain.here, moves // 20) for _ in range(20)]
    return [found for found in pieces if found is not None]


def least(inst: Instance) -> float:
    """The least makespan of all orders on all machines."""
    jobs, presses = inst.run_tool.size, inst.restart_s.size
    best = np.inf
    for on in product(range(presses), repeat=jobs):
        if not all(inst.fits[p, j] for j, p in enumerate(on)):
            continue
        last = 0.0
        for p in range(presses):
            mine = [j for j in range(jobs) if on[j] == p]
            ends = [
                sum(int(inst.shot_num[p, j]) for j in order)
                + sum(int(inst.purge_s[p, 0, b, a]) for a, b in pairwise(order))
                for order in permutations(mine)
            ]
            last = max(last, min(ends))
        best = min(best, last)
    return best


@pytest.mark.parametrize("seed", range(4))
def test_where_presses_do_not_meet_it_finds_the_least_and_knows_it(seed: int) -> None:
    """Five jobs on two machines: the least of all orders, and its own figure is the exact evaluator's."""
    inst = machines(5, 2, seed)
    chain = chain_of(inst, seed)
    assert chain.evening is not None
    found = evened(chain, 200_000)
    arrays, timing = packed_instance(inst), timing_for(inst)
    values = [objective_of(arrays, plan, timing) for plan in found] + [chain.values[BEST]]
    assert min(values) == pytest.approx(least(inst))
    if found:
        assert values[len(found) - 1] == pytest.approx(float(chain.evening.loads.values[LATEST]), abs=1e-6)


def test_pinned_lots_stay_and_every_lot_fits_where_it_goes() -> None:
    """Each press keeps the lots at its head, and all lots are there once."""
    for seed in range(3):
        inst = machines(14, 3, seed)
        inst = inst._replace(pinned=np.array([1, 0, 1]), fits=np.ones_like(inst.fits), shot_num=abs(inst.shot_num))
        inst.fits[2, 5:9] = False
        chain = chain_of(inst, seed)
        heads = [chain.here.lots()[p][: inst.pinned[p]] for p in range(3)]
        found = evened(chain, 400_000)
        assert found
        for plan in found:
            assert [plan.lots()[p][: inst.pinned[p]] for p in range(3)] == heads
            assert sorted(lot for lots in plan.lots() for lot in lots) == list(range(14))
            assert all(inst.fits[p, inst.lot_run[lot]] for p, lots in enumerate(plan.lots()) for lot in lots)


def test_what_must_never_share_a_press_is_not_put_there() -> None:
    """Two jobs that clash: a plan with both on one press is not handed on."""
    inst = machines(6, 2, 9)
    clash = np.zeros((6, 6), dtype=np.bool_)
    clash[0, 1] = clash[1, 0] = True
    inst = inst._replace(clash=clash, fits=np.ones_like(inst.fits), shot_num=abs(inst.shot_num))
    for plan in evened(chain_of(inst, 1), 200_000):
        assert not any({0, 1} <= set(lots) for lots in plan.lots())


def test_it_goes_beside_the_chain_where_the_last_dispatch_is_the_aim_of_several_presses() -> None:
    inst = compile_campaign(sized("S", 1))[0]
    assert worth_it(aimed(inst, "soonest"))
    assert not worth_it(inst)
    assert not worth_it(aimed(inst, "waste", 1.0))
    assert not worth_it(machines(5, 1, 1))


def test_it_ends_where_no_plan_is_done_sooner() -> None:
    """Once the last dispatch is proven, only equals are chosen from: both chains leave the loads alone."""
    inst = aimed(machines(6, 2, 3), "soonest")
    chain = chain_of(inst, 1)
    chain.choose_among_equals()
    beside = SecondChain(inst, chain, 2)
    assert chain.evening is None
    assert beside.chain.evening is None
    beside.end()
    chain = chain_of(inst, 1)
    beside = SecondChain(inst, chain, 2)
    assert beside.chain.evening is not None
    beside.choose_among_equals()
    assert chain.evening is None
    assert beside.chain.evening is None
    beside.end()


def test_the_same_seed_gives_the_same_plan_with_it() -> None:
    inst = machines(12, 3, 5)
    plans = [search(inst, Budget(3, 7, 0.0, bound_effort=0), Unhurried()) for _ in range(2)]
    assert plans[0].solution.lots() == plans[1].solution.lots()
    assert plans[0].objective == plans[1].objective
