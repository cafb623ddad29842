"""Replications against closed forms, PERT's textbook examples, and the campaign written out anew."""

import numpy as np
import pytest
from scipy import stats

from benchmarks.generator import small
from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.campaign.base import Arrival
from planner.campaign.common_case import common_case
from planner.campaign.uncertainty import ThreePoint, ToolUncertainty, Uncertainty
from planner.control import Unhurried
from planner.plan.order_of_work import order_of, warm_start
from planner.planning.make import make_plan
from planner.promise import make
from planner.promise.make import make_promise
from planner.promise.replications import written
from planner.promise.scenarios import DAY_S, draw
from planner.schedule import timing as w
from planner.schedule.construct import first_plans
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.replicate import replicated
from planner.schedule.instance import NEVER, packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import timing_for
from tests.planner.promise.chains import chain
from tests.planner.promise.followed import replications_of
from tests.support.pot_campaign import pot_campaign

REPLICATIONS = 4000


def moulded_days(campaign, replications=REPLICATIONS, seed=7):
    """Days until the last run ends, in every replication."""
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    return replications_of(inst, names, solution, draw(campaign, replications, seed)).moulded / DAY_S


def test_one_run_is_as_long_as_its_triangle_says():
    """Closed form: the end of a single run is its three-point's own distribution."""
    days = moulded_days(chain({"a": (2, 3, 7)}, "triangular"))
    assert stats.kstest(days, stats.triang(0.2, 2, 5).cdf).pvalue > 0.01


def pert(activities, mean, variance):
    days = moulded_days(chain(activities))
    error = np.sqrt(variance / REPLICATIONS)
    assert abs(days.mean() - mean) < 3 * error
    assert days.var() == pytest.approx(variance, rel=0.08)  # three standard errors of a variance of 4000
    return days


def test_pert_of_a_textbook():
    """Taylor, Introduction to Management Science, PERT example: critical path 1-3-5-7, 24 weeks, variance 5,
    P(<= 28) .9632 by the normal approximation (weeks taken as days; the sum of four betas is a little skewed)."""
    days = pert({"a": (5, 8, 17), "b": (3, 5, 7), "c": (4, 6, 8), "d": (3, 4, 5)}, 24, 5.0)
    assert (days <= 28).mean() == pytest.approx(0.9632, abs=0.012)


def test_pert_of_another_textbook():
    """Milwaukee Paper (Heizer & Render, Operations Management): critical path A-C-E-G-H, 15 weeks, variance 3.11,
    P(<= 16) .7146, 99 % by 19.1 (normal approximation)."""
    days = pert({"a": (1, 2, 3), "c": (1, 2, 3), "e": (1, 4, 7), "g": (3, 4, 11), "h": (1, 2, 3)}, 15, 3.1111)
    assert (days <= 16).mean() == pytest.approx(0.7146, abs=0.025)
    assert np.quantile(days, 0.99) == pytest.approx(19.1, abs=0.35)


def test_trials_repeat_until_one_is_good():
    """Reworks until success are geometric: chance .6, 7 days each: mean 7 x .4 / .6 days after the ready day."""
    data = chain({"a": (1, 1, 1)}).model_dump(mode="json")
    trial = {"success_chance": 0.6, "rework_days": {"early": 7, "likely": 7, "late": 7}}
    data["uncertainty"]["tools"]["a"] = {"first_trial": trial}
    days = moulded_days(Campaign.model_validate(data))
    failures = (days - 1) / 7
    assert np.abs(failures - np.rint(failures)).max() < 1e-6
    for n, chance in enumerate([0.6, 0.24, 0.096]):
        assert (np.rint(failures) == n).mean() == pytest.approx(chance, abs=0.025)


@pytest.mark.parametrize("seed", range(6))
def test_a_replication_is_the_campaign_with_its_draws_written_in(seed):
    """Ready days, efficiency and deliveries of single replications, written into the document, compiled anew: the same
    second for the last run and for every pack batch."""
    campaign = small(seed)
    calm = common_case(campaign)
    still = {"scrap_share": None, "cycle_share": None, "mount_share": None}
    tools = {n: t.model_copy(update=still) for n, t in calm.tools.items()}
    still = {"efficiency_share": {}, "stops_share": {}, "purge_share": {}, "bench_share": {}, "carrier_days": None}
    unsure = calm.model_copy(update={"tools": tools} | still)
    campaign = campaign.model_copy(update={"uncertainty": unsure})
    inst, names = compile_campaign(campaign)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    drawn = draw(campaign, 40, seed)
    replications = replicated(inst, solution, written(inst, names, drawn), to_the_letter=True)
    clock = Clock.starting(campaign.start, campaign.time_zone)

    def later(moment, days):
        second = max(0, max(0, clock.seconds(moment)) + round(days * DAY_S))
        return clock.moment(second).replace(tzinfo=None)

    def delayed(bought, days):
        arrivals = [Arrival(on=later(a.on, days), amount=a.amount) for a in bought.arrivals]
        return bought.model_copy(update={"arrivals": arrivals})

    for k in range(0, 40, 13):
        tools = {
            n: t.model_copy(update={"ready": later(t.ready, drawn.ready_days[n][k])}) if n in drawn.ready_days else t
            for n, t in campaign.tools.items()
        }
        update = {"tools": tools}
        for section, late in (
            ("pieces", drawn.piece_days),
            ("resins", drawn.resin_days),
            ("colours", drawn.colour_days),
        ):
            update[section] = {
                n: delayed(b, late[n][k]) if n in late else b for n, b in getattr(campaign, section).items()
            }
        true = campaign.model_copy(update=update)
        true_inst, _ = compile_campaign(true)
        true_inst = bought_as_late(true_inst, inst, names, drawn, k)
        timing = timing_for(true_inst)
        value = objective_of(packed_instance(true_inst), solution, timing)
        if not value < np.inf:
            assert replications.moulded[k] == NEVER
            continue
        assert replications.moulded[k] == timing.lots[:, w.END].max()
        assert replications.packed[k].max() == timing.batches[:, w.ENDED].max()


def bought_as_late(true, inst, names, drawn, k):
    """What is bought beyond the deliveries agreed has no date in the document: its lateness is written in here."""
    supply, piece = true.supply_t.copy(), true.piece_t.copy()
    for m, (kind, name) in enumerate(names.materials):
        late = (drawn.resin_days if kind == "resin" else drawn.colour_days)[name][k]
        last = inst.supply_ptr[m + 1] - 1
        if np.isinf(inst.supply_kg[last]):
            supply[last] = max(0, inst.supply_t[last] + round(late * DAY_S))
    for g, good in enumerate(names.goods):
        if isinstance(good, str):
            last = inst.piece_ptr[g + 1] - 1
            if inst.piece_count[last] == NEVER:
                piece[last] = max(0, inst.piece_t[last] + round(drawn.piece_days[good][k] * DAY_S))
    return true._replace(supply_t=supply, piece_t=piece)


def test_more_threads_change_nothing():
    campaign = small(3)
    quick = campaign.planning.model_copy(update={"rounds": 0})
    plan = make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())
    assert make_promise(campaign, plan, 600, cores=3) == make_promise(campaign, plan, 600, cores=1)


def test_whoever_waits_is_told_what_the_first_replications_say(monkeypatch):
    """They are a promise of their own, and the whole is as if nobody had been told. Short ones tell nothing."""
    campaign = small(3)
    quick = campaign.planning.model_copy(update={"rounds": 0})
    plan, told = make_plan(campaign.model_copy(update={"planning": quick}), Unhurried()), []
    whole = make_promise(campaign, plan, 700, tell=told.append)
    assert not told
    monkeypatch.setattr(make, "LONG", 0)
    assert make_promise(campaign, plan, 700, cores=2, tell=told.append) == whole
    assert told == [make_promise(campaign, plan, make.FIRST_LOOK)]


def test_a_press_does_not_wait_for_a_tool_that_is_late():
    """Two tools on one press, the first five days late: taken in the other order, all is done days earlier."""
    campaign = chain({"a": (3, 3, 3), "b": (4, 4, 4)})
    data = campaign.model_dump(mode="json")
    data["presses"]["one"]["begins_with"] = []
    days = {"early": 5, "likely": 5, "late": 5}
    data["uncertainty"] = {"tools": {"a": {"ready_days": days}}}
    campaign = Campaign.model_validate(data)
    inst, names = compile_campaign(campaign)
    solution = warm_start(inst, names, order_of(make_plan(chain({"a": (3, 3, 3), "b": (4, 4, 4)}), Unhurried())))
    drawn = draw(campaign, 20, 1)
    waits = replications_of(inst, names, solution, drawn).moulded / DAY_S
    goes_on = replications_of(inst, names, solution, drawn, policy="first ready").moulded / DAY_S
    assert waits == pytest.approx(12)
    assert goes_on == pytest.approx(8)


def test_a_variant_meets_the_same_luck():
    """Common random numbers: another unsure thing more does not change the draws of those there were."""
    campaign = chain({"a": (2, 3, 7), "b": (1, 2, 6)})
    unsure = campaign.uncertainty.model_copy(update={"tools": {"b": campaign.uncertainty.tools["b"]}})
    only = campaign.model_copy(update={"uncertainty": unsure})
    assert (draw(campaign, 50, 9).cycle_share["b"] == draw(only, 50, 9).cycle_share["b"]).all()


def sure(value: float) -> ThreePoint:
    return ThreePoint(early=value, likely=value, late=value)


def followed_by(campaign: Campaign, unsure: Uncertainty, like: Campaign):
    """When the last run ends and the last batch is packed, s: with what was drawn, and in the campaign like it."""
    told = campaign.model_copy(update={"uncertainty": unsure})
    inst, names = compile_campaign(told)
    solution = first_plans(inst, packed_instance(inst), timing_for(inst))[0][1]
    replications = replications_of(inst, names, solution, draw(told, 1, 1))
    true, _ = compile_campaign(like)
    timing = timing_for(true)
    assert objective_of(packed_instance(true), solution, timing) < np.inf
    return (replications.moulded[0], replications.packed[0].max()), (
        timing.lots[:, w.END].max(),
        timing.batches[:, w.ENDED].max(),
    )


def test_breakdowns_are_time_the_press_does_not_mould():
    """A fifth lost is a press at four fifths of its planned efficiency, whose replications are tested above."""
    campaign = pot_campaign()
    lost = Uncertainty(stops_share=dict.fromkeys(campaign.presses, sure(0.2)))
    slower = Uncertainty(efficiency_share=dict.fromkeys(campaign.presses, sure(0.8)))
    ours, planned = followed_by(campaign, lost, campaign)
    assert ours == followed_by(campaign, slower, campaign)[0]
    assert ours[0] > planned[0]


def test_mounting_that_takes_twice_as_long():
    campaign = pot_campaign()
    tools = {n: t.model_copy(update={"mount_minutes": 2 * t.mount_minutes}) for n, t in campaign.tools.items()}
    unsure = Uncertainty(tools=dict.fromkeys(campaign.tools, ToolUncertainty(mount_share=sure(2))))
    ours, theirs = followed_by(campaign, unsure, campaign.model_copy(update={"tools": tools}))
    assert ours == theirs


def test_purges_that_take_twice_as_long():
    """As at half the share of the plasticising rate, and at twice the purge cycle through the tool; to the rounding."""
    campaign = pot_campaign()
    tools = {
        n: t.model_copy(update={"purge_cycle_s": 2 * (t.purge_cycle_s or t.cycle_s)}) for n, t in campaign.tools.items()
    }
    slow = campaign.purging.model_copy(update={"air_shot_share": campaign.purging.air_shot_share / 2})
    unsure = Uncertainty(purge_share=dict.fromkeys(campaign.presses, sure(2)))
    ours, theirs = followed_by(campaign, unsure, campaign.model_copy(update={"tools": tools, "purging": slow}))
    assert ours == pytest.approx(theirs, rel=0, abs=8)
    assert ours != pytest.approx(followed_by(campaign, Uncertainty(), campaign)[1], rel=0, abs=60)


def test_benches_half_as_fast():
    campaign = pot_campaign()
    slow = {
        "products": {
            n: p.model_copy(update={"assembly_minutes": 2 * p.assembly_minutes}) for n, p in campaign.products.items()
        },
        "tiers": {n: t.model_copy(update={"pack_minutes": 2 * t.pack_minutes}) for n, t in campaign.tiers.items()},
    }
    unsure = Uncertainty(bench_share={"assembly": sure(2), "packing": sure(2)})
    ours, theirs = followed_by(campaign, unsure, campaign.model_copy(update=slow))
    assert ours == theirs


def test_a_carrier_three_days_late_moves_every_date_by_three_days():
    campaign = pot_campaign()
    plan = make_plan(
        campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": 0})}), Unhurried()
    )

    def dates(unsure: Uncertainty):
        promise = make_promise(campaign.model_copy(update={"uncertainty": unsure}), plan, 30)
        return [tier.dates for tier in promise.tiers], promise

    (before, calm), (after, late) = dates(Uncertainty()), dates(Uncertainty(carrier_days=sure(3)))
    for one, other in zip(before, after, strict=True):
        assert other.planned == one.planned
        assert [(b - a).days for a, b in ((one.p50, other.p50), (one.p95, other.p95))] == [3, 3]
    assert "a carrier that comes late" in calm.left_out
    assert "a carrier that comes late" not in late.left_out
    assert calm.taken == []


def test_the_common_case_varies_everything_and_is_shown():
    """Where the campaign says nothing, each kind has its figures beside the dates; the rest is said to be left out."""
    campaign = pot_campaign()
    plan = make_plan(
        campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"rounds": 0})}), Unhurried()
    )
    promise = make_promise(campaign, plan, 30)
    assert promise.basis == "common case"
    assert {one.about for one in promise.taken} >= {
        "breakdowns",
        "purges",
        "mounting tools",
        "work at the benches",
        "pick-ups by the carrier",
        "scrap",
        "deliveries",
    }
    assert promise.left_out == ["material that longer purges use up", "people who fall ill"]
    calm = make_promise(campaign.model_copy(update={"uncertainty": Uncertainty()}), plan, 30)
    assert len(calm.left_out) == 11
