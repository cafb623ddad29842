"""Parts of several tools that are moulded over others (O, D6): the evaluator and its plain twin agree, small campaigns
end at the best of every way to share in every order, and their bound holds whoever makes how many."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from planner.campaign import Campaign
from planner.campaign.planning import MadeBy
from planner.control import Unhurried
from planner.demand.into_moulds import at_the_least
from planner.demand.items import run_demands, sharings, taken_at_shots
from planner.errors import CampaignProblems
from planner.plan.wishes import as_kept
from planner.planning.make import make_plan
from planner.planning.shares import shared_out
from planner.promise.make import make_promise
from planner.reading import read
from planner.schedule.delta_tables import delta_tables_for
from planner.schedule.encode import compile_campaign
from planner.schedule.search import Budget, search
from planner.schedule.timing import timing_for
from tests.planner.schedule.brute_force import brute_force
from tests.planner.schedule.plain.compared import evaluated_twice
from tests.planner.schedule.test_at_the_shot_twin import cut
from tests.support.assertions import broken_rules
from tests.support.spoils.by_hand import of_campaign, spoilt

KNOB = Path(__file__).resolve().parents[3] / "api" / "demo" / "situations" / "overmoulding.json"


def _document(two_cores: bool) -> dict[str, Any]:
    """The grip of a new and an old tool, each on a press of its own; the cores of one tool or of two."""
    data: dict[str, Any] = json.loads(KNOB.read_text(encoding="utf-8"))
    press = next(iter(data["presses"]))
    data["presses"] = {press: data["presses"][press], "other": json.loads(json.dumps(data["presses"][press]))}
    tools = data["tools"]
    tools["core"]["presses"] = [press] if two_cores else [press, "other"]
    tools["grip"]["presses"] = [press]
    tools["old grip"] = tools["grip"] | {
        "presses": ["other"], "cycle_s": 44, "scrap_share": 0.08, "cavities": {"knob": 1}
    }  # fmt: skip
    if two_cores:
        tools["old core"] = tools["core"] | {
            "presses": ["other"], "cycle_s": 61, "scrap_share": 0.08, "cavities": {"core": 2}
        }  # fmt: skip
    data["tiers"]["one"] |= {"promised": "2027-01-11", "late_cost_per_day": 0.5}
    data["pick_ups"] = {"days": ["mon", "tue", "wed", "thu", "fri"], "time": "14:00"}
    data["products"]["knob"]["colourways"]["ink"] = {"knob": ["ink"]}
    data["orders"] = [
        {"tier": "one", "units": {"knob": [colour]}, "count": n} for colour, n in (("cream", 90), ("ink", 60))
    ]
    return data


def _shared_anyhow(seed: int) -> Campaign:
    data = _document(bool(seed % 2))
    data["parts"]["core"]["stock"] = [{"colours": ["ink"], "count": 41 * (seed % 3)}]
    data["pieces"]["brass insert"] |= {"stock": 100, "arrivals": [{"on": "2027-01-12", "amount": 400}]}
    data["planning"]["made_by"] = [{"tool": "grip", "colours": ["cream"], "shots": 12 + 7 * (seed % 4)}]
    if seed % 2:
        data["planning"]["made_by"].append({"tool": "core", "colours": ["ink"], "shots": 15 + seed})
    return read(data)


@pytest.mark.parametrize("seed", range(8))
def test_evaluator_equals_its_plain_twin_where_several_tools_mould_over(seed: int) -> None:
    inst, names = compile_campaign(_shared_anyhow(seed))
    inst = cut(inst, 1 + seed % 3)
    over = {run.tool for r, run in enumerate(names.runs) if inst.over_ptr[r] < inst.over_ptr[r + 1]}
    assert over == {"grip", "old grip"}
    assert inst.several
    assert list(evaluated_twice(inst, timing_for(inst), seed, 6))


def _few(two_cores: bool, late: float) -> Campaign:
    """A few knobs, shot slowly: every way to share them out, in every order on both presses."""
    data = _document(two_cores)
    data["scrap_taken"] = "known"
    data["orders"] = [{"tier": "one", "units": {"knob": ["cream"]}, "count": 8}]
    for tool, seconds in (("grip", 2500), ("old grip", 1900), ("core", 3000), ("old core", 1000)):
        if tool in data["tools"]:
            data["tools"][tool] |= {"cycle_s": seconds, "startup_shots": 1}
    data["tiers"]["one"]["late_cost_per_day"] = late
    data["planning"] = {"rounds": 20, "seed": 3}
    return read(data)


def _every_way(campaign: Campaign) -> list[list[MadeBy]]:
    """Every way to share, none with a shot to spare, found by trying; what goes into the moulds first as the grips are
    shared."""
    found: list[list[MadeBy]] = [[]]
    for first in ("grip", "core"):
        ways = []
        for way in found:
            planning = campaign.planning.model_copy(update={"made_by": way})
            sharing = next(
                (s for s in sharings(campaign.model_copy(update={"planning": planning})) if first in s.tools), None
            )
            if sharing is None:
                ways.append(way)
                continue
            one, other = sharing.tools
            tried = [{one: n, other: m} for n in range(12) for m in range(12)]
            enough = [shots for shots in tried if sharing.enough(shots, sharing.needed)]
            spare = [s for s in enough if any({**s, tool: n - 1} in enough for tool, n in s.items())]
            mine = [shots for shots in enough if shots not in spare]
            ways += [
                [*way, *(MadeBy(tool=tool, colours=list(sharing.colours), shots=n) for tool, n in shots.items())]
                for shots in mine
            ]
        found = ways
    return found


@pytest.mark.parametrize(("two_cores", "late"), [(False, 0.0), (False, 50.0), (True, 0.0)])
def test_small_campaigns_equal_every_way_to_share_in_every_order(two_cores: bool, late: float) -> None:
    campaign = _few(two_cores, late)
    ways = _every_way(campaign)
    assert len(ways) >= (20 if two_cores else 5)
    best, bounds = float("inf"), set()
    for made_by in ways:
        planning = campaign.planning.model_copy(update={"made_by": made_by})
        inst, names = compile_campaign(campaign.model_copy(update={"planning": planning}))
        made = {(run.tool, run.shots) for run in names.runs if run.tool != "core" or two_cores}
        assert made == {(one.tool, one.shots) for one in made_by if one.shots}
        best = min(best, brute_force(inst))
        bounds.add(round(inst.several_bound, 6))
    assert len(bounds) == 1
    assert 0 < max(bounds) <= best + 1e-6
    inst, _ = compile_campaign(shared_out(campaign, Unhurried()))
    found = search(inst, Budget(20, 3, 0.0), Unhurried())
    assert found.objective == pytest.approx(best, rel=1e-9, abs=2e-4)
    assert found.bound <= best + 1e-6


def _plan(two_cores: bool = True, **planning: object) -> tuple[Any, Any]:
    data = _document(two_cores)
    data["planning"] |= {
        "rounds": 5, "made_by": [{"tool": "grip", "colours": ["cream"], "shots": 20}], **planning
    }  # fmt: skip
    campaign = read(data)
    return campaign, make_plan(campaign, Unhurried())


def test_a_plan_holds_and_each_way_to_spoil_it_is_caught() -> None:
    """Both tools take cores as they begin; what an old tool spoils takes more of them along."""
    campaign, plan = _plan()
    assert plan.audit is not None
    assert plan.audit.holds
    tools = {run.tool for run in plan.runs}
    assert {"grip", "old grip"} <= tools
    cores = next(line for line in plan.balance if line.part == "core")
    shots = {tool: sum(run.shots for run in plan.runs if run.tool == tool) for tool in tools}
    assert cores.at_the_shot == 2 * shots["grip"] + shots["old grip"]
    inserts = next(line for line in plan.pieces if line.id == "brass insert")
    assert inserts.used == cores.at_the_shot
    for value, path in (
        (30, ("parts", "core", "rest_hours")),
        (2, ("tools", "old grip", "cavities", "knob")),
        (2, ("parts", "knob", "moulded_over", "parts", 0, "number")),
        (0.4, ("tools", "old grip", "scrap_share")),
    ):
        assert {"A7", "A8"} & broken_rules(*spoilt(campaign, plan, of_campaign(value, *path))), path


def test_without_the_other_tool_knobs_are_moulded_one_after_the_other() -> None:
    """Left out: the last knobs leave later."""
    with_both, alone = _document(False), _document(False)
    for data in (with_both, alone):
        data["planning"] = {"rounds": 2, "seed": 3, "aim": "soonest"}
        data["orders"] = [{"tier": "one", "units": {"knob": ["cream"]}, "count": 30}]
        data["tools"]["grip"]["cycle_s"] = 8000
        data["tools"]["old grip"]["cycle_s"] = 5000
    del alone["tools"]["old grip"]
    both, one = (make_plan(read(data), Unhurried()) for data in (with_both, alone))
    assert both.audit is not None
    assert both.audit.holds
    assert {run.tool for run in both.runs} == {"core", "grip", "old grip"}
    assert max(sent.at for sent in both.dispatches) < max(sent.at for sent in one.dispatches)


def test_at_the_least_by_hand() -> None:
    """Ninety and sixty knobs take so many cores at the least, whoever makes them; the real ones are more."""
    campaign = read(_document(True))
    into = at_the_least(campaign)
    assert into.parts == {("core", ("ink",)): 150}
    assert into.pieces == {"brass insert": 150}
    assert taken_at_shots(campaign)["core", ("ink",)] > 150


def test_who_looks_at_a_plan_again_finds_what_each_tool_makes_in_it() -> None:
    """Where the campaign does not say who makes how many, the plan does."""
    campaign, plan = _plan(two_cores=False)
    silent = campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"made_by": []})})
    again = {(run.tool, run.melts): run.shots for run in run_demands(as_kept(silent, plan))}
    assert again == {(run.tool, tuple(run.melts)): run.shots for run in plan.runs}
    assert len({run.tool for run in plan.runs}) == 3


@pytest.mark.parametrize(("late", "leaves"), [(0, 11), (1, 12), (3, 14), (5, 18), (7, 18)])
@pytest.mark.parametrize("two_cores", [False, True])
def test_promises_wait_for_the_tool_that_moulds_over_its_share(two_cores: bool, late: int, leaves: int) -> None:
    """Half of the knobs in cream are the old grip's. From six on its morning is enough for its few dozen shots, and all
    that is left to pack is packed by the pick-up at 14:00; it is ready so many days late, on the 16th a Saturday."""
    data = _document(two_cores)
    data["tools"]["old grip"]["ready"] = "2027-01-11"
    data["planning"] = {"rounds": 2, "seed": 1}
    data["planning"]["made_by"] = [{"tool": "grip", "colours": ["cream"], "shots": 25}]
    plan = make_plan(read(data), Unhurried())
    assert {run.tool for run in plan.runs} >= {"grip", "old grip"}
    data["uncertainty"] = {"tools": {"old grip": {"ready_days": {"early": late, "likely": late, "late": late}}}}
    (tier,) = make_promise(read(data), plan, replications=20).tiers
    assert tier.dates.p50 == tier.dates.p95 == date(2027, 1, leaves)


def test_pieces_that_cannot_be_had_are_missed_before_anything_is_sought() -> None:
    """Each good knob takes an insert at the least; 500 are in stock or agreed."""
    data = _document(False)
    data["orders"][0]["count"] = 441
    data["pieces"]["brass insert"] |= {"stock": 500, "arrivals": [], "lead_days": None}
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    assert [problem.pointer for problem in refused.value.problems] == ["/pieces/brass insert"]


def test_every_tool_has_room_for_all_batches_that_may_wait_for_it() -> None:
    """A batch may wait for a lot of either tool: where only the first was counted, the waiting of more than eight
    batches for lots of the other was written past its place."""
    data = _document(False)
    data["packing"] = {"batch_parcels": 10}
    data["planning"]["made_by"] = [{"tool": "grip", "colours": [colour], "shots": 10} for colour in ("cream", "ink")]
    inst, names = compile_campaign(read(data))
    assert inst.batch_work.size > 8
    asks = delta_tables_for(inst, 86400.0).asks
    asking = {(run.tool, run.colours[0]): int(asks[r]) for r, run in enumerate(names.runs)}
    assert asking["grip", "cream"] == asking["old grip", "cream"] == 9
    assert asking["grip", "ink"] == asking["old grip", "ink"] == 6


def test_tools_that_hang_together_do_not_mould_over_each_other() -> None:
    """Cores from a tool that shares a part with the grip's would be needed before their own share is known."""
    data = _document(True)
    data["parts"]["cap"] = {"barrels": [{"resin": "tpe", "mass_g": 2}]}
    data["parts"]["core"]["barrels"][0]["resin"] = "tpe"
    for tool in ("old grip", "old core"):
        data["tools"][tool]["cavities"]["cap"] = 1
    with pytest.raises(CampaignProblems) as refused:
        read(data)
    assert "/parts/knob/moulded_over/parts/0/part" in [problem.pointer for problem in refused.value.problems]


def test_shares_leave_nothing_waiting_for_ever() -> None:
    """Stock of cores covers what one tool takes, and not what the other would."""
    data = _document(True)
    data["orders"] = data["orders"][:1]
    data["parts"]["core"]["stock"] = [{"colours": ["ink"], "count": 104}]
    data["planning"]["rounds"] = 5
    plan = make_plan(read(data), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    assert np.isfinite(plan.outcome.total)
    assert plan.outcome.lower_bound <= plan.outcome.total + 0.01


@pytest.mark.parametrize("two_cores", [False, True])
def test_knobs_all_in_stock_ask_for_no_cores(two_cores: bool) -> None:
    data = _document(two_cores)
    data["parts"]["knob"]["stock"] = [{"colours": [colour], "count": 900} for colour in ("cream", "ink")]
    data["planning"]["rounds"] = 1
    plan = make_plan(read(data), Unhurried())
    assert plan.audit is not None
    assert plan.audit.holds
    assert not plan.runs
    assert {line.part for line in plan.balance} == {"knob"}
