"""What is worked out anew only where a step changes it is what working all of it out gives: benches and estimates."""

import heapq
import random
from typing import Any

import numpy as np
import pytest

from benchmarks.generator import sized, small
from planner.schedule import delta_tables as g
from planner.schedule import timing as w
from planner.schedule.bench_queue import ASSEMBLY, work_off
from planner.schedule.chain import Chain
from planner.schedule.construct import first_plans
from planner.schedule.delta_estimate import place, weigh
from planner.schedule.delta_tables import DeltaTables, delta_tables_beside, delta_tables_for
from planner.schedule.encode import compile_campaign
from planner.schedule.encode.wishes import keeping
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.jit import entry
from planner.schedule.sequences import Sequences
from planner.schedule.solution import objective_of
from planner.schedule.timing import LAST, Timing, timing_for
from planner.schedule.warm import smallest_instance
from tests.planner.schedule.plain.compared import random_plan

HOUR = 3600


@entry
def _worked_off(inst: Instance, timing: Timing) -> bool:
    return bool(work_off(inst, timing, ASSEMBLY))


@entry
def _laid_out(inst: Instance, plan: Sequences, timing: Timing, delta: DeltaTables) -> None:
    place(inst, plan, timing.lots, delta)
    weigh(inst, timing, delta)


def _plainly(ready: Ints, work: Ints, rank: Ints, hours: list[tuple[int, int, int]]) -> list[tuple[int, int]] | None:
    """Start and end of each job, by a heap of what waits and a list of what is still to come; None: hours end."""
    coming = sorted(range(ready.size), key=lambda job: int(ready[job]))
    waits: list[tuple[int, int]] = []
    found = [(0, 0)] * ready.size
    now = k = 0
    for _ in range(ready.size):
        if not waits:
            now = max(now, int(ready[coming[0]]))
        while k < len(hours) and hours[k][1] <= now:
            k += 1
        if k == len(hours):
            return None
        now = max(now, hours[k][0])
        while coming and ready[coming[0]] <= now:
            job = coming.pop(0)
            heapq.heappush(waits, (int(rank[job]), job))
        job = heapq.heappop(waits)[1]
        begin, left = now, int(work[job])
        while left > 0:
            room = (hours[k][1] - now) * hours[k][2]
            if room >= left:
                now += -(-left // hours[k][2])
                left = 0
            else:
                left -= room
                k += 1
                if k == len(hours):
                    return None
                now = hours[k][0]
        found[job] = begin, now
    return found


@pytest.mark.parametrize("jobs", [1, 31, 32, 33, 900, 9_000])
def test_a_bench_takes_of_what_is_ready_the_first_in_order_of_service(jobs: int) -> None:
    """Few jobs and more than fit into one word of words, looked at again after few and after many have moved."""
    draw = np.random.default_rng(jobs)
    days = jobs // 6 + 40
    opens = 24 * HOUR * np.arange(days) + 8 * HOUR
    closes = opens + draw.integers(1, 9, days) * HOUR
    people = draw.integers(1, 5, days)
    work = draw.integers(0, 2 * HOUR, jobs)
    inst = smallest_instance()._replace(asm_start=opens, asm_end=closes, asm_people=people, job_work=work)
    arrays, timing = packed_instance(inst), timing_for(inst)
    hours = [(int(a), int(b), int(n)) for a, b, n in zip(opens, closes, people, strict=True)]
    ready = draw.integers(0, int(closes[-1]) // 2, jobs)
    ended = 0
    for moved in (jobs, 1 + jobs // 100, 0, jobs // 2, jobs):
        some = draw.choice(jobs, moved, replace=False)
        ready[some] = draw.integers(0, int(closes[-1]) // 2, moved)
        timing.queues[w.JOB_RANK, :jobs] = draw.permutation(jobs)
        timing.jobs[:, w.READY] = ready
        plain = _plainly(ready, work, timing.queues[w.JOB_RANK, :jobs], hours)
        assert _worked_off(arrays, timing) == (plain is not None)
        if plain is not None:
            ended += 1
            assert timing.jobs[:, [w.STARTED, w.ENDED]].tolist() == [list(step) for step in plain]
    assert ended > 0


def test_a_bench_whose_parts_never_come_ends_nothing() -> None:
    inst = smallest_instance()
    timing = timing_for(inst)
    timing.jobs[:, w.READY] = 2**60
    assert not _worked_off(packed_instance(inst), timing)


def _known(delta: DeltaTables) -> list[Any]:
    """All that estimates read, without what stands behind the breakpoints that count."""
    marks = delta.marks.copy()
    for lot, row in enumerate(delta.lots):
        for begin, count in ((g.LATER_AT, g.LATER_N), (g.LATER, g.LATER_N), (g.EARLIER_AT, g.EARLIER_N)):
            marks[lot, begin + row[count] : begin + g.BREAKPOINTS] = 0
        marks[lot, g.LESS + row[g.EARLIER_N] : g.LESS + g.BREAKPOINTS] = 0
    late = delta.late.copy()
    late[1 + late[0] : 1 + (late.size - 1) // 2] = 0
    return [delta.lots.tolist(), marks.tolist(), delta.presses.tolist(), late.tolist()]


def test_what_estimates_go_by_is_noted_as_from_nothing() -> None:
    """A chain notes what its steps change; from nothing, for the plan where it ends, the same stands there."""
    seen = 0
    for inst in [compile_campaign(small(seed))[0] for seed in range(12)] + [compile_campaign(sized("S", 3))[0]]:
        arrays, timing = packed_instance(inst), timing_for(inst)
        plans = first_plans(inst, arrays, timing)
        if not plans:
            continue
        value, first = plans[0]
        objective_of(arrays, first, timing)
        delta = delta_tables_for(inst, float(timing.totals[LAST]))
        afresh = delta_tables_beside(delta)
        chain = Chain(inst, arrays, first, value, delta, 1)
        chain.anneal(20_000, 30.0, 1.0)
        objective_of(arrays, chain.here, timing)
        _laid_out(arrays, chain.here.packed(), timing, afresh)
        assert _known(delta) == _known(afresh)
        seen += int(delta.lots.shape[0] > 1)
    assert seen > 6


def _asked_for_nothing(inst: Instance) -> Instance:
    """The instance with wishes and charges looked after, of which there are none: every begin is looked for anew, and
    every changeover added up again."""
    presses, runs = inst.fits.shape
    no_money = np.zeros(presses)
    return keeping(inst)._replace(
        charging=1, changeover_charge=np.zeros((presses, 2, 2)), shift_s=np.zeros(presses, dtype=np.int64),
        shift_charge=no_money, shot_charge=np.zeros((presses, runs)), shot_charge_least=np.zeros(runs),
        least_bill=no_money,
    )  # fmt: skip


def test_a_press_begins_when_it_would_if_it_looked_again() -> None:
    """Where setters and materials are there before a press begins, what others took of them since is not asked after;
    with one setter, tools that come later, scarce material and tools that move, every moment and amount is as if it
    were."""
    draw, waited = random.Random(5), set[int]()
    campaigns = [small(seed) for seed in range(16)] + [sized("S", 3), sized("M", 2)]
    for inst in (compile_campaign(campaign)[0] for campaign in campaigns):
        later = np.maximum(inst.tool_ready, 30 * HOUR * (np.arange(inst.tool_ready.size) % 2))
        for one in (inst, inst._replace(setters=1, tool_ready=later)):
            again = _asked_for_nothing(one)
            arrays, timing = packed_instance(one), timing_for(one)
            afresh, anew = packed_instance(again), timing_for(again)
            for _ in range(30):
                plan = random_plan(one, draw)
                value = objective_of(arrays, plan, timing)
                assert value == objective_of(afresh, plan, anew)
                if value == np.inf:
                    continue
                assert timing.totals.tolist() == anew.totals.tolist()
                assert timing.lots.tolist() == anew.lots.tolist()
                assert timing.pieces.tolist() == anew.pieces.tolist()
                waited |= set(timing.lots[:, w.WHY].tolist())
    assert {w.BY_PRESS, w.BY_READY, w.BY_TOOL, w.BY_MATERIAL, w.BY_SETTER, w.BY_HOURS} <= waited
