"""What a maker says of bases, price lists, wishes, places or people at the press changes the plan: the same campaign
without it is planned otherwise. Other ways are left out beside their own tests; docs/code/ways.md names them all."""

from copy import deepcopy
from datetime import datetime
from itertools import combinations

import pytest

from examples.situations import campaign_of, plan_of
from planner.control import Unhurried
from planner.planning.make import make_plan
from planner.reading import read
from tests.support.assertions import broken_rules


def document(name):
    return campaign_of(name).model_dump(mode="json", by_alias=True, exclude_unset=True)


def planned(data):
    return make_plan(read(data), Unhurried())


def begins(run):
    return run.changeover.start if run.changeover else run.start


def overlap(plan):
    """Whether two runs are ever under way at once."""
    return any(begins(a) < b.end and begins(b) < a.end for a, b in combinations(plan.runs, 2))


def test_without_their_base_each_insert_is_mounted_whole():
    """90 minutes for each tool, not 90 once and 12 or 8 for each change of the insert."""
    data = document("base-with-inserts")
    for tool in data["tools"].values():
        tool.pop("base")
        tool.pop("insert_minutes")
    mounts = [
        sorted(run.changeover.mount_seconds for run in plan.runs if run.changeover and run.changeover.mount_seconds)
        for plan in (plan_of("base-with-inserts"), planned(data))
    ]
    assert mounts[0].count(90 * 60) == 1 < len(mounts[0])
    assert set(mounts[1]) == {90 * 60}
    assert mounts[1].count(90 * 60) > 1


def test_a_price_list_moves_a_run_to_the_press_that_is_dearer_by_the_hour():
    """500 shots of 30 s and 45 min before them are 5 h: 100 on the big press, 125 on the small one, until each shift
    begun on the big one costs 300 more."""
    data = document("price-list")
    data["tools"] = {"pot": data["tools"]["pot"] | {"presses": ["big", "small"]}}
    data["parts"] = {"pot": data["parts"]["pot"]}
    data["products"] = {"pot": {"parts": {"pot": 1}, "colourways": {"cream": {"pot": ["cream"]}}}}
    data["orders"] = [{"tier": "one", "units": {"pot": ["cream"]}, "count": 1000}]
    for name, rate in (("big", 20), ("small", 25)):
        data["presses"][name] |= {"rate_per_hour": rate, "charges": {}, "draws_kw": 0, "clamp_kn": 1000}
    without = planned(data)
    charged = deepcopy(data)
    charged["presses"]["big"]["charges"] = {"shift": 300, "shift_hours": 8}
    assert {run.press for run in without.runs} == {"big"}
    assert {run.press for run in planned(charged).runs} == {"small"}


def test_without_wishes_feet_in_cream_are_not_kept_waiting():
    data = document("wishes")
    del data["wishes"]
    moment = datetime(2027, 1, 13, 8)
    for plan, waits in ((plan_of("wishes"), True), (planned(data), False)):
        cream = next(run for run in plan.runs if (run.tool, run.melts) == ("foot", ["pp/cream"]))
        assert (begins(cream).replace(tzinfo=None) >= moment) == waits


def test_without_its_place_a_press_waits_for_our_setter_and_nothing_travels():
    data = document("moulder-elsewhere")
    del data["places"]
    del data["presses"]["small"]["place"]
    here = planned(data)
    first = {run.press: begins(run) for run in sorted(here.runs, key=begins, reverse=True)}
    assert len(set(first.values())) == 2, "one setter cannot be at both"
    assert not here.finishing_lots
    assert max(line.last_dispatch for line in here.tiers) < max(
        line.last_dispatch for line in plan_of("moulder-elsewhere").tiers
    )


def test_without_the_other_place_feet_stay_here_and_cost_more():
    data = document("tool-to-either-place")
    data["tools"]["foot"]["presses"] = ["second"]
    here, plan = planned(data), plan_of("tool-to-either-place")
    assert {run.press for run in here.runs if run.tool == "foot"} == {"second"}
    assert {run.press for run in plan.runs if run.tool == "foot"} == {"small"}
    assert here.outcome.total > plan.outcome.total


def test_without_the_copy_at_the_other_place_the_last_pots_are_late():
    data = document("copies-at-two-places")
    del data["tools"]["foot B"]
    alone, plan = planned(data), plan_of("copies-at-two-places")
    assert {run.press for run in plan.runs} == {"big", "second", "small"}
    assert alone.tiers[0].days_late > plan.tiers[0].days_late == 0


def test_orders_that_open_at_once_are_packed_sooner():
    data = document("opens-later")
    for line in data["orders"]:
        line.pop("opens", None)
    at_once, plan = planned(data), plan_of("opens-later")
    assert max(batch.start for batch in at_once.batches) < max(batch.start for batch in plan.batches)
    assert at_once.tiers[0].last_dispatch < plan.tiers[0].last_dispatch


@pytest.mark.parametrize("opens", ["2027-01-22", "2027-01-29"])
def test_packed_before_its_orders_open_is_caught(opens):
    """The plan packs them on the 21st."""
    data = document("opens-later")
    data["orders"][1]["opens"] = opens
    assert "A10" in broken_rules(read(data), plan_of("opens-later"))


def test_without_a_deposit_the_resin_is_paid_once():
    data = document("deposits")
    for one in data["resins"].values():
        one.pop("deposit_share", None)
        one.pop("balance_days", None)
    paid = {}
    for name, plan in (("with", plan_of("deposits")), ("without", planned(data))):
        paid[name] = [line.on for line in plan.cash if line.of == "pp"]
    assert len(paid["with"]) == 2
    assert len(paid["without"]) == 1


def test_without_its_place_assembly_begins_as_soon_as_pots_are_moulded():
    data = document("assembly-elsewhere")
    del data["places"], data["assembly"]["place"]
    here, plan = planned(data), plan_of("assembly-elsewhere")
    assert not here.carried
    assert not here.finishing_lots
    assert min(job.start for job in here.assembly) < min(job.start for job in plan.assembly)
    assert here.tiers[0].last_dispatch < plan.tiers[0].last_dispatch
    assert here.outcome.total < plan.outcome.total


def test_cores_moulded_here_are_not_waited_for_until_a_lot_comes():
    data = document("cores-from-elsewhere")
    del data["places"], data["presses"]["small"]["place"]
    here, plan = planned(data), plan_of("cores-from-elsewhere")
    first = min(begins(run) for run in here.runs if run.tool == "grip")
    assert first < min(begins(run) for run in plan.runs if run.tool == "grip")
    assert here.outcome.total < plan.outcome.total


def test_with_nobody_asked_for_both_tools_run_at_once_and_into_the_night():
    data = document("operators")
    for tool in data["tools"].values():
        tool.pop("operators", None)
    alone, plan = planned(data), plan_of("operators")

    def stayed(one):
        return sorted((run for run in one.runs if run.tool in ("knob", "dial")), key=begins)

    knob, dial = stayed(plan)
    assert knob.end <= begins(dial)
    first, second = stayed(alone)
    assert begins(second) < first.end
    assert any(stretch.end.hour >= 14 for run in alone.runs for stretch in run.stretches)
    assert alone.outcome.total < plan.outcome.total


def test_with_a_second_person_nobody_is_waited_for():
    data = document("operators")
    data["floor"]["operators"] = 2
    plan = planned(data)
    assert all(run.waits_for != "operators" for run in plan.runs)
    assert overlap(plan)
