"""Parts that are moulded over others (O): the compiled evaluator and its plain twin agree, small campaigns end at
the best of all orders, no bound is above it, and leaving it out changes the plan."""

import json
from pathlib import Path

import numpy as np
import pytest

from planner.control import Unhurried
from planner.demand.items import ordered_items, run_demands, taken_at_shots
from planner.reading import read
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.timing import timing_for
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.planner.schedule.test_bounds_and_proof import brute_force

KNOB = Path(__file__).resolve().parents[3] / "api" / "demo" / "situations" / "overmoulding.json"


def _campaign(seed=0, **core):
    """Knobs in one or two colours, and cores sold by themselves, some in stock; inserts that come later."""
    data = json.loads(KNOB.read_text(encoding="utf-8"))
    data["parts"]["core"] |= {"stock": [{"colours": ["ink"], "count": 37 * (seed % 3)}], **core}
    data["products"]["core"] = {
        "parts": {"core": 1}, "assembly_minutes": 0.2, "colourways": {"ink": {"core": ["ink"]}}
    }  # fmt: skip
    data["orders"] = [{**data["orders"][0], "count": 90}]
    if seed % 2:
        data["products"]["knob"]["colourways"]["ink"] = {"knob": ["ink"]}
        data["orders"].append({"tier": "one", "units": {"knob": ["ink"]}, "count": 60})
    data["orders"].append({"tier": "one", "units": {}, "extra_units": {"core": ["ink"]}, "count": 30})
    data["tiers"]["one"]["units"] = {}
    for line in data["orders"]:
        line["extra_units"] = {**line.pop("units", {}), **line.get("extra_units", {})}
    data["tiers"]["one"] |= {"promised": "2027-01-12", "late_cost_per_day": 0.5}
    data["pieces"]["brass insert"] |= {"stock": 100, "arrivals": [{"on": "2027-01-12", "amount": 400}]}
    data["pick_ups"] = {"days": ["mon", "tue", "wed", "thu", "fri"]}
    return read(data)


@pytest.mark.parametrize("seed", range(6))
def test_evaluator_equals_its_plain_twin_where_runs_wait_for_what_they_are_moulded_over(seed):
    inst, _ = compile_campaign(_campaign(seed))
    assert inst.run_after.any()
    number = 0
    for _ in evaluated_twice(inst, timing_for(inst), seed, 4):
        number += 1
    assert number


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_small_campaigns_moulded_over_equal_every_order(seed):
    campaign = _campaign(seed)
    inst, _ = compile_campaign(campaign)
    best = brute_force(inst)
    found = search(inst, Budget(20, 1, 0.0), Unhurried())
    assert found.objective == pytest.approx(best, rel=1e-9, abs=2e-4)
    assert found.bound <= best + 1e-6
    assert found.ended != "proven"
    free = inst._replace(run_after=np.zeros_like(inst.run_after), run_from=np.zeros_like(inst.run_from))
    assert brute_force(free) < best - 1e-6  # what waits for nothing is done sooner


def test_needs_of_what_goes_into_moulds_by_hand():
    """Every shot of the grip takes a core for each of its two cavities, and the core's own scrap comes on top."""
    campaign = _campaign(1)
    runs = {(run.tool, run.colours): run for run in run_demands(campaign)}
    shots = sum(run.shots for (tool, _), run in runs.items() if tool == "grip")
    assert taken_at_shots(campaign) == {("core", ("ink",)): 2 * shots}
    core = next(item for item in runs["core", ("ink",)].items if item.part == "core")
    assert ordered_items(campaign)["core", ("ink",)] == core.ordered == 30
    assert core.to_mould == 30 + 2 * shots - 37
    assert core.counting_shots == -(-core.to_mould // 4)


def test_cores_all_in_stock_are_waited_for_by_nobody():
    campaign = _campaign(0, stock=[{"colours": ["ink"], "count": 5000}])
    inst, names = compile_campaign(campaign)
    assert [run.tool for run in names.runs] == ["grip"]
    assert not inst.run_after.any()
    assert search(inst, Budget(5, 1, 0.0), Unhurried()).cost > 0
