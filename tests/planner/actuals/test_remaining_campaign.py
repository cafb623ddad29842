"""From the floor's log to the campaign that is left, and planning again from there."""

import json
from datetime import datetime, timedelta

import pytest

from benchmarks.generator import small
from planner.actuals.changes import what_changed
from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.audit import audit
from planner.campaign import Campaign
from planner.campaign.order_of_work import Told
from planner.control import Unhurried
from planner.demand.items import ordered_items, run_demands
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.schedule.encode import compile_campaign
from tests.planner.actuals.played import played
from tests.planner.promise.chains import chain


def planned(campaign, rounds=1):
    quick = campaign.planning.model_copy(update={"rounds": rounds})
    return make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())


def middle(plan):
    moments = sorted(run.end for run in plan.runs)
    return moments[len(moments) // 2]


def log(as_of, *entries):
    return Actuals.model_validate({"as_of": as_of, "entries": list(entries)})


@pytest.mark.parametrize("seed", [0, 2, 3, 5, 8, 9])
def test_a_floor_that_goes_as_planned_can_be_planned_from_where_it_is(seed):
    """Half-way through a plan carried out to the letter: what is left plus what is done is what was ordered, the rest
    is planned and audited, and nobody is told much of a change."""
    campaign = small(seed)
    plan = planned(campaign)
    until = middle(plan)
    actuals = played(campaign, plan, until)
    now = from_here(campaign, plan, actuals).campaign
    packed = sum(e.parcels for e in actuals.entries if e.what == "packed")
    assert sum(line.count for line in now.orders) + packed == sum(line.count for line in campaign.orders)
    assert sum(r.shots for r in run_demands(now)) < sum(r.shots for r in run_demands(campaign))
    again = planned(now)
    assert again.audit.holds
    assert again.start.replace(tzinfo=None) == actuals.as_of
    changes = what_changed(plan, again, [])
    assert changes.kept_runs + len(changes.comparison.runs) == len(again.runs), "each stands where it was or is told"
    assert max(t.days for t in changes.comparison.tiers) <= 7


def test_what_is_in_hand_after_a_day():
    """By hand: 400 of 1000 shots done with 390 good; 10 g a shot: 4 kg, of them 2 % masterbatch."""
    campaign = chain({"a": (3, 3, 3), "b": (1, 1, 1)})
    actuals = log(
        "2027-01-05T05:00",
        {"what": "shots", "at": "2027-01-05T04:30", "press": "one", "tool": "a", "colours": ["grey"], "shots": 400,
         "good": {"a": 390}},
    )  # fmt: skip
    now = from_here(campaign, planned(campaign), actuals).campaign
    assert [(s.colours, s.count) for s in now.parts["a"].stock] == [(["grey"], 390)]
    assert now.resins["pp"].stock_kg == pytest.approx(1e6 - 4 * 0.98)
    assert now.colours["grey"].stock_kg == pytest.approx(1e6 - 4 * 0.02)
    press = now.presses["one"]
    assert press.tool == "a"
    assert press.barrels[0].holds == "pp/grey"
    assert [run.tool for run in press.begins_with] == ["a", "b"]
    assert now.start == datetime(2027, 1, 5, 5)


def test_parcels_take_their_parts_and_pieces_along():
    campaign = small(1)
    line = campaign.orders[0]
    start = campaign.start
    actuals = Actuals.model_validate(
        {"as_of": start + timedelta(days=1), "entries": [{"what": "packed", "at": start, "line": 0, "parcels": 1}]}
    )
    found = from_here(campaign, None, actuals)
    assert sum(o.count for o in found.campaign.orders) == sum(o.count for o in campaign.orders) - 1
    assert sum(ordered_items(found.campaign).values()) < sum(ordered_items(campaign).values())
    assert found.campaign.orders[0].count == line.count - 1 > 0


def test_deliveries_count_against_those_agreed_and_late_ones_are_said():
    data = json.loads(chain({"a": (3, 3, 3)}).model_dump_json())
    data["pieces"] = {
        "leaflet": {"arrivals": [{"on": "2027-01-05", "amount": 600}, {"on": "2027-01-06", "amount": 600}]}
    }
    data["tiers"]["one"]["pieces"] = {"leaflet": 1}
    campaign = type(chain({"a": (1, 1, 1)})).model_validate(data)
    delivery = {"what": "delivery", "at": "2027-01-05T09:00", "of": "piece", "id": "leaflet", "amount": 500}
    found = from_here(campaign, None, log("2027-01-06T12:00", delivery))
    leaflet = found.campaign.pieces["leaflet"]
    assert leaflet.stock == 500
    assert [(a.on.isoformat(), a.amount) for a in leaflet.arrivals] == [
        ("2027-01-07T12:00:00", 100), ("2027-01-07T12:00:00", 600),
    ]  # fmt: skip
    assert len(found.notes) == 2
    assert "100 of leaflet were due on 2027-01-05" in found.notes[0]


def test_a_begun_run_may_be_cut_where_its_tool_may_be_split():
    """600 of 1000 shots stand in the plan for the run under way, 200 are made: 400 stay fixed on the press, the other
    400 may go elsewhere. Where the tool's runs are never split, or what is left would be below its smallest lot, all
    stays."""
    campaign = chain({"a": (3, 3, 3), "b": (1, 1, 1)})
    data = campaign.model_dump(mode="json", exclude_unset=True)
    data["presses"]["one"]["begins_with"] = []
    data["tools"]["a"]["smallest_lot_shots"] = 300
    campaign = Campaign.model_validate(data)
    plan = planned(campaign)
    shots = sum(run.shots for run in plan.runs if run.tool == "a")
    first = next(run for run in plan.runs if run.tool == "a")
    cut = [first.model_copy(update={"shots": 600}), *(run for run in plan.runs if run.tool != "a")]
    made = {"what": "shots", "at": "2027-01-04T12:00", "press": "one", "tool": "a", "colours": ["grey"], "shots": 200,
            "good": {"a": 200}}  # fmt: skip
    now = from_here(campaign, plan.model_copy(update={"runs": cut}), log("2027-01-04T12:00", made)).campaign
    assert [(run.tool, run.shots) for run in now.presses["one"].begins_with] == [("a", 400)]

    def pinned(smallest):
        tool = now.tools["a"].model_copy(update={"smallest_lot_shots": smallest})
        inst, _ = compile_campaign(now.model_copy(update={"tools": now.tools | {"a": tool}}))
        return [int(n) for run, n in zip(inst.lot_run, inst.lot_shots, strict=True) if run == inst.lot_run[0]]

    left = shots - 200
    assert pinned(300) == [400, left - 400]
    assert pinned(None) == [left]
    assert pinned(left - 300) == [left]
    again = planned(now, 3)
    assert again.audit.holds
    fewer = [run.model_copy(update={"shots": 100}) if run.tool == "a" else run for run in again.runs]
    verdict = audit(now, again.model_copy(update={"runs": fewer[:1] + fewer[1:]}))
    assert not verdict.holds


def test_a_rejected_lot_is_moulded_again():
    """400 shots, 390 good; a lot of 100 of them is rejected: 290 are in hand, and 710 of 1000 are still to be made."""
    campaign = chain({"a": (3, 3, 3)})
    at = {"at": "2027-01-05T04:30"}
    made = at | {"what": "shots", "press": "one", "tool": "a", "colours": ["grey"], "shots": 400, "good": {"a": 390}}
    lot = at | {"what": "lot", "part": "a", "colours": ["grey"], "pieces": 100, "accepted": False}
    now = from_here(campaign, None, log("2027-01-05T05:00", made, lot, lot | {"accepted": True})).campaign
    assert [s.count for s in now.parts["a"].stock] == [290]
    assert [item.to_mould for run in run_demands(now) for item in run.items] == [710]
    with pytest.raises(CampaignProblems, match="nobody ordered `a` in pink"):
        from_here(campaign, None, log("2027-01-05T05:00", lot | {"colours": ["pink"]}))


def test_regrind_fed_is_resin_saved():
    """By hand: 4 kg moulded of which 0.5 kg was regrind: 4 x 0.98 - 0.5 kg of resin, masterbatch in full."""
    campaign = chain({"a": (3, 3, 3)})
    made = {"what": "shots", "at": "2027-01-05T04:30", "press": "one", "tool": "a", "colours": ["grey"], "shots": 400,
            "good": {"a": 390}, "regrind_kg": 0.5}  # fmt: skip
    now = from_here(campaign, planned(campaign), log("2027-01-05T05:00", made)).campaign
    assert now.resins["pp"].stock_kg == pytest.approx(1e6 - 4 * 0.98 + 0.5)
    assert now.colours["grey"].stock_kg == pytest.approx(1e6 - 4 * 0.02)


def test_units_assembled_are_not_assembled_again():
    """Ten minutes a unit, 1000 ordered, 300 assembled, 100 of them packed: 900 to pack, 700 to assemble."""
    data = chain({"a": (1, 1, 1)}).model_dump(mode="json", exclude_unset=True)
    data["products"]["thing"]["assembly_minutes"] = 10
    data["assembly"]["rate_per_hour"] = 12
    campaign = Campaign.model_validate(data)
    entries = [
        {"what": "shots", "at": "2027-01-05T00:00", "press": "one", "tool": "a", "colours": ["grey"], "shots": 1000,
         "good": {"a": 1000}},
        {"what": "assembled", "at": "2027-01-05T04:00", "product": "thing", "colourway": "grey", "units": 300},
        {"what": "packed", "at": "2027-01-05T05:00", "line": 0, "parcels": 100},
    ]  # fmt: skip
    found = from_here(campaign, None, log("2027-01-05T06:00", *entries))
    assert found.campaign.products["thing"].assembled == {"grey": 200}
    assert found.notes == []
    plan = planned(found.campaign, 3)
    assert plan.audit.holds
    assert sum(job.units for job in plan.assembly) == 900
    assert sum(job.from_hand for job in plan.assembly) == 200
    assert sum(job.person_minutes for job in plan.assembly) == pytest.approx(7000)
    assert next(line.amount for line in plan.costs if "labour" in line.what) == pytest.approx(7000 / 60 * 12)
    again = [job.model_copy(update={"from_hand": 0}) for job in plan.assembly]
    assert not audit(found.campaign, plan.model_copy(update={"assembly": again})).holds
    unsaid = [entries[0], {k: v for k, v in entries[1].items() if k != "colourway"}]
    notes = from_here(campaign, None, log("2027-01-05T06:00", *unsaid)).notes
    assert notes == ["300 units of thing assembled in a colourway not said: taken to be assembled again"]
    wrong = entries[1] | {"colourway": "pink"}
    with pytest.raises(CampaignProblems, match="does not come in `pink`"):
        from_here(campaign, None, log("2027-01-05T06:00", wrong))


def test_news_of_a_tool_moves_it():
    campaign = chain({"a": (3, 3, 3), "b": (1, 1, 1)})
    news = {"what": "tool", "at": "2027-01-04T10:00", "tool": "b", "ready": "2027-01-14"}
    found = from_here(campaign, planned(campaign), log("2027-01-04T12:00", news))
    assert found.campaign.tools["b"].ready.isoformat() == "2027-01-14"


def test_entries_that_do_not_fit_are_named_all_at_once():
    campaign = chain({"a": (3, 3, 3)})
    made = [
        {"what": "shots", "at": "2027-01-05", "press": "two", "tool": "a", "colours": ["grey"], "shots": 5},
        {"what": "packed", "at": "2027-01-05", "line": 0, "parcels": 1001},
        {"what": "shots", "at": "2027-01-06", "press": "one", "tool": "a", "colours": ["grey"], "shots": 5,
         "good": {"a": 6}},
    ]  # fmt: skip
    with pytest.raises(CampaignProblems) as refused:
        from_here(campaign, None, log("2027-01-05T12:00", *made))
    assert [p.pointer for p in refused.value.problems] == [
        "/entries/0/press", "/entries/1/parcels", "/entries/2/at", "/entries/2/good/a",
    ]  # fmt: skip


def test_people_who_were_told_are_moved_only_for_what_it_is_worth():
    """Tool `a` slips ten days: planned anew `b` goes first; told, at a price above what that saves, all stands."""
    campaign = chain({"a": (3, 3, 3), "b": (4, 4, 4)})
    plan = planned(campaign)
    data = campaign.model_dump(mode="json")
    data["presses"]["one"]["begins_with"] = []
    data["tiers"]["one"]["late_cost_per_day"] = 1
    campaign = type(campaign).model_validate(data)
    news = {"what": "tool", "at": "2027-01-04T00:00", "tool": "a", "ready": "2027-01-18"}

    def order(price):
        told = Told(moving_a_run=price) if price is not None else None
        now = from_here(campaign, plan, log("2027-01-04T00:00", news), told).campaign
        again = planned(now, 3)
        assert again.audit.holds
        return [run.tool for run in again.runs]

    assert order(None) == ["b", "a"]
    assert order(1.0) == ["b", "a"]
    assert order(1e6) == ["a", "b"]


def test_changes_are_said_with_their_reason():
    campaign = chain({"a": (3, 3, 3), "b": (4, 4, 4)})
    plan = planned(campaign)
    news = {"what": "tool", "at": "2027-01-04T00:00", "tool": "a", "ready": "2027-01-14"}
    found = from_here(campaign, plan, log("2027-01-04T00:00", news))
    changes = what_changed(plan, planned(found.campaign, 3), found.notes)
    assert "one: the last parcel leaves 10 days later (2027-01-21, 1 day late)" in changes.words
    assert any(w.startswith("a in pp/grey: starts 10.0 days later") and "tool a, ready" in w for w in changes.words)


def test_the_floor_that_ran_acetal_after_pvc_is_not_planned_again():
    """The log says that both were in one barrel: planning again is refused, at the barrel, with what to do."""
    campaign = chain({"a": (3, 3, 3), "b": (1, 1, 1)})
    pvc, pom = campaign.resins["pp"].model_copy(update={"family": "PVC"}), campaign.resins["pp"].model_copy()
    resins = {"pvc": pvc, "pom": pom.model_copy(update={"family": "POM"})}
    parts = {
        name: part.model_copy(
            update={"barrels": [part.barrels[0].model_copy(update={"resin": "pvc" if name == "b" else "pom"})]}
        )
        for name, part in campaign.parts.items()
    }
    mixed = campaign.model_copy(update={"resins": resins, "parts": parts})
    shots = {"what": "shots", "press": "one", "colours": ["grey"], "shots": 10}
    actuals = log(
        "2027-01-05T05:00",
        shots | {"at": "2027-01-05T04:00", "tool": "b"},
        shots | {"at": "2027-01-05T04:30", "tool": "a"},
    )
    with pytest.raises(CampaignProblems) as refused:
        from_here(mixed, None, actuals)
    assert "/presses/one/barrels/0/has_held" in [p.pointer for p in refused.value.problems]
