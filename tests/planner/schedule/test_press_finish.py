"""The first pick-up by which the presses alone could have made everything: sound, and exact where presses are all."""

from itertools import permutations, product

import numpy as np
import pytest
from ortools.sat.python import cp_model

from benchmarks.generator import small
from benchmarks.plain_workshop import least_makespan, workshop
from planner.control import Unhurried
from planner.schedule.bounds import press_finish
from planner.schedule.bounds.changeovers import least_changeovers
from planner.schedule.bounds.lower_bound import Solvers, at_once, thought
from planner.schedule.bounds.press_finish import soonest_press_work
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import Instance
from planner.schedule.search import Budget, search

Table = list[list[int]]


def drawn(seed: int) -> tuple[Table, list[Table], Table]:
    """Seconds of five jobs on two presses, set-ups between them, set-ups of the first."""
    draw = np.random.default_rng(seed)
    return (
        draw.integers(5, 30, (2, 5)).tolist(),
        draw.integers(1, 25, (2, 5, 5)).tolist(),
        draw.integers(1, 25, (2, 5)).tolist(),
    )


def makespan(seconds: Table, setups: list[Table], first: Table) -> int:
    """The least of all ways to share the jobs out and order them, by plain sums."""
    best = 10**9
    for places in product(range(2), repeat=5):
        ends = []
        for p in range(2):
            jobs = [j for j in range(5) if places[j] == p]
            ends.append(
                min(
                    sum(
                        (first[p][j] if n == 0 else setups[p][order[n - 1]][j]) + seconds[p][j]
                        for n, j in enumerate(order)
                    )
                    for order in permutations(jobs)
                )
            )
        best = min(best, max(ends))
    return best


@pytest.mark.parametrize("seed", range(8))
def test_where_presses_are_all_it_is_the_least_makespan(seed: int) -> None:
    """Against every plan; the search then says proven, for that reason, with two cores and with rounds."""
    tables = drawn(seed)
    inst = least_makespan(workshop(tables[0], setups=tables[1], first=tables[2]))
    best = makespan(*tables)
    found = soonest_press_work(inst, least_changeovers(inst), 0, 5.0, cp_model.CpSolver())
    assert int(inst.pickup_t[found.pickup]) == best
    planned = search(inst, Budget(5, 1, 0.0), Unhurried())
    assert planned.objective == best
    assert planned.ended == "proven"
    assert planned.aim is not None
    assert planned.aim.bound == planned.aim.value == best / 86400


def test_hours_shared_out_freely_bound_less() -> None:
    """Without it most of these are not known to be the least."""
    less = 0
    for seed in range(8):
        tables = drawn(seed)
        inst = least_makespan(workshop(tables[0], setups=tables[1], first=tables[2]))
        bounds = [known.last_s for known, _ in thought(inst, at_once(inst, least_changeovers(inst)), 5.0, Solvers())]
        assert bounds == sorted(bounds)
        assert bounds[-1] == makespan(*tables)
        less += bounds[1] < bounds[-1]
    assert less >= 6


def closed_at_times() -> Instance:
    """Forty seconds of work, open for 30 of every 100, a pick-up every second."""
    return least_makespan(workshop([[20, 20]]))._replace(
        open_ptr=np.array([0, 4]), open_start=np.array([0, 100, 200, 300]), open_end=np.array([30, 130, 230, 10_000]),
        pickup_t=np.arange(1000), pickup_day=np.arange(1000),
    )  # fmt: skip


def test_closed_hours_count() -> None:
    """Done in the second stretch; with a warm-up of 15 in the third."""
    inst = closed_at_times()
    least = least_changeovers(inst)
    found = soonest_press_work(inst, least, 0, 5.0, cp_model.CpSolver())
    assert int(inst.pickup_t[found.pickup]) == 110
    cold = inst._replace(restart_s=np.array([15]))
    assert int(inst.pickup_t[soonest_press_work(cold, least, 0, 5.0, cp_model.CpSolver()).pickup]) == 225


def test_beyond_the_pick_ups_told_apart_it_claims_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """With ten of them: the ninth after the one it begins from. Where hours grow evenly there is no such end."""
    monkeypatch.setattr(press_finish, "MOST_PICKUPS", 10)
    for inst, pickup in ((closed_at_times(), 12), (least_makespan(workshop([[20, 20]], horizon=100)), 40)):
        assert soonest_press_work(inst, least_changeovers(inst), 3, 5.0, cp_model.CpSolver()).pickup == pickup


def test_no_plan_of_a_small_campaign_is_done_sooner() -> None:
    """Hours, warm-ups, first states and benches as campaigns have them, with a pick-up every half hour."""
    moments = np.arange(0, 14 * 86400, 1800)
    for seed in range(4):
        campaign = small(seed)
        inst, _ = compile_campaign(
            campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"aim": "soonest"})})
        )
        inst = inst._replace(pickup_t=moments, pickup_day=int(inst.pickup_day[0]) + moments // 86400)
        found = soonest_press_work(inst, least_changeovers(inst), 0, 5.0, cp_model.CpSolver())
        planned = search(inst, Budget(2, 1, 0.0, bound_effort=0.0), Unhurried())
        assert planned.aim is not None
        assert 0 < int(inst.pickup_t[found.pickup]) <= planned.aim.value * 86400 + 1e-6
