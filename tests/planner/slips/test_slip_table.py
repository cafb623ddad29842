"""Slips: followed to the letter, planned anew, compared, ranked and said in words."""

from datetime import date, timedelta
from functools import lru_cache

import pytest

from benchmarks.generator import small
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.plan.order_of_work import followed, order_of, warm_start
from planner.planning.anew import ANEW_ROUNDS
from planner.planning.make import kept, make_plan
from planner.schedule.encode import compile_campaign
from planner.schedule.instance import packed_instance
from planner.schedule.solution import objective_of
from planner.schedule.timing import COST, timing_for
from planner.slips.compare import compare, run_changes, runs_moved
from planner.slips.document import Cell, Lever, TierChange
from planner.slips.levers import AS_IT_IS, best, ideas, try_lever
from planner.slips.patches import changed
from planner.slips.slip import Slip, recompiled, slip_between, slipped, things
from planner.slips.study import POLICIES, Asked, Study, in_order
from planner.slips.swaps import swaps
from planner.slips.waiting import Waiting, waiting
from planner.slips.words import slip_words, tiers_words
from tests.planner.promise.chains import chain

SEEDS = range(6)


def planned(campaign, rounds=1):
    quick = campaign.planning.model_copy(update={"rounds": rounds})
    return make_plan(campaign.model_copy(update={"planning": quick}), Unhurried())


@lru_cache
def plan_of(seed, rounds=1):
    """Of a small campaign; plans are only read."""
    return planned(small(seed), rounds)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plan_gives_back_its_own_order_of_work(seed):
    """Order of work out of the document, followed on a fresh compilation: the same cost to the cent."""
    campaign = small(seed)
    plan = plan_of(seed)
    inst, names = compile_campaign(campaign)
    ours, solution = followed(inst, names, order_of(plan))
    timing = timing_for(ours)
    objective_of(packed_instance(ours), solution, timing)
    assert timing.totals[COST] == pytest.approx(plan.outcome.total, abs=0.005)
    start = warm_start(inst, names, order_of(plan))
    assert sorted(lot for lots in start.lots() for lot in lots) == list(range(inst.lot_run.size))


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_else_changes_means_no_run_moves(seed):
    campaign = small(seed)
    plan = plan_of(seed)
    study = Study(campaign, plan, rounds=1)
    for kind, name in things(campaign)[:3]:
        cell = study.cell(Asked(Slip(kind, name, 2), POLICIES[0]))
        assert cell.possible
        assert cell.audited
        assert cell.runs_moved == 0


@pytest.mark.parametrize("seed", SEEDS)
def test_planning_anew_is_never_worse_than_keeping(seed):
    campaign = small(seed)
    study = Study(campaign, plan_of(seed), rounds=1)
    for kind, name in things(campaign)[:3]:
        keeps, anew = (study.cell(Asked(Slip(kind, name, 3), policy)) for policy in POLICIES)
        assert keeps.possible
        assert anew.audited
        assert anew.cost <= keeps.cost + 0.01


@pytest.mark.parametrize("seed", SEEDS)
def test_a_slip_patched_in_is_the_slipped_document_compiled(seed):
    """The shortcut on the compiled campaign gives what compiling the slipped document gives."""
    campaign = small(seed)
    order = order_of(plan_of(seed))
    inst, names = compile_campaign(campaign)
    for kind, name in things(campaign):
        slip = Slip(kind, name, 4)
        short, short_names = recompiled(inst, names, slip)
        true, true_names = compile_campaign(slipped(campaign, slip))
        one, other = kept(short, short_names, order), kept(true, true_names, order)
        assert (one is None) == (other is None)
        if one is not None:
            assert one.outcome.total == pytest.approx(other.outcome.total)
            assert [r.start for r in one.runs] == [r.start for r in other.runs]


def test_slack_and_words_of_a_case_worked_by_hand():
    """Three days' work from Monday 4 January 2027, pick-ups each day at 16:00, promised for the 20th: done at midnight
    before the 7th, leaves on the 7th. The tool may slip 13 days (leaves on the 20th), not 14. At 15 days it leaves on
    the 22nd, two days late; no order of work helps."""
    campaign = chain({"a": (3, 3, 3)})
    plan = planned(campaign)
    assert plan.tiers[0].last_dispatch.date().isoformat() == "2027-01-07"
    study = Study(campaign, plan, rounds=1)
    assert study.slack("tool", "a") == 13
    cells = [study.cell(Asked(Slip("tool", "a", 15), policy)) for policy in POLICIES]
    assert [c.tiers[0].days for c in cells] == [15, 15]
    row = study.row("tool", "a", cells)
    assert row.verdict == "big"
    assert row.words.startswith("15 days on the a tool: one leaves 15 days later (2 days late)")
    assert row.words.endswith("planning again does not help. Up to 13 days late make nobody late.")
    small_one = study.cell(Asked(Slip("tool", "a", 3), POLICIES[0]))
    assert study.verdict(small_one) == "small"


def test_planning_again_wins_back_days():
    """Two runs of three and four days on a press; the first one's tool slips ten days: waiting for it the last parcel
    leaves ten days later, taken second only six."""
    campaign = chain({"a": (3, 3, 3), "b": (4, 4, 4)})
    plan = planned(campaign)
    data = campaign.model_dump(mode="json")
    data["presses"]["one"]["begins_with"] = []
    study = Study(Campaign.model_validate(data), plan, rounds=1)
    keeps, anew = (study.cell(Asked(Slip("tool", "a", 10), policy)) for policy in POLICIES)
    assert keeps.tiers[0].days == 10
    assert anew.tiers[0].days == 6
    words = slip_words("tool", "a", keeps, anew, "EUR")
    assert words.startswith("Ten days on the a tool: one leaves 10 days later")
    assert "planning again wins back 4 days" in words


def test_words_of_the_common_case():
    def cell(policy, days):
        tiers = [
            TierChange(tier=t, before="2027-01-08", after="2027-01-08", days=d, promised="2027-01-08", days_late=d)
            for t, d in (("pair", days), ("single", 0), ("trio", 0), ("set", 0))
        ]
        return Cell(
            kind="tool", name="shell", days=10, policy=policy, possible=True, audited=True, cost=1.0, cost_change=0.0,
            purge_kg_change=0.0, runs_moved=0, tiers=tiers,
        )  # fmt: skip

    words = slip_words("tool", "shell", cell(POLICIES[0], 6), cell(POLICIES[1], 2), "GBP")
    assert words == (
        "Ten days on the shell tool: pair leaves 6 days late; others unchanged; planning again wins back 4 days."
    )


def test_tiers_that_fare_alike_are_told_in_one_breath():
    def change(tier, days, late):
        return TierChange(
            tier=tier, before="2027-01-08", after="2027-01-08", days=days, promised="2027-01-08", days_late=late
        )

    tiers = [change("single", 10, 10), change("pair", 10, 10), change("trio", 14, 3), change("set", -1, 0)]
    assert tiers_words(tiers) == (
        "single and pair leave 10 days late, trio leaves 14 days later (3 days late), set leaves 1 day earlier"
    )


def test_rows_come_by_the_people_made_to_wait():
    campaign = small(4)
    study = Study(campaign, plan_of(4), rounds=0)
    rows = []
    for kind, name in things(campaign):
        cells = [study.cell(Asked(Slip(kind, name, 5), POLICIES[0]))]
        rows.append(study.row(kind, name, cells))
    made_to_wait = [max((c.waiting_days for c in r.cells), default=0) for r in in_order(rows) if r.harm is not None]
    assert made_to_wait == sorted(made_to_wait, reverse=True)
    assert any(made_to_wait)
    impossible = [r.harm is None for r in in_order(rows)]
    assert impossible == sorted(impossible, reverse=True)


def test_a_plan_compared_with_itself_has_not_moved():
    plan = plan_of(5)
    same = compare(plan, plan)
    assert same.runs == []
    assert same.words == "Every tier leaves as planned; it costs the same; no run changes its place."


def test_runs_that_change_places_are_found():
    """Of a, b, c on a press, c goes first: one run changed its place, the others only start later."""
    plan = planned(chain({"a": (1, 1, 1), "b": (2, 2, 2), "c": (3, 3, 3)}))
    a, b, c = plan.runs
    day = timedelta(days=1)
    turned = plan.model_copy(
        update={
            "runs": [
                c.model_copy(update={"start": c.start - 3 * day}),
                a.model_copy(update={"start": a.start + 3 * day}),
                b.model_copy(update={"start": b.start + 3 * day}),
            ]
        }
    )
    changes = run_changes(plan, turned)
    assert runs_moved(changes) == 1
    assert {(r.tool, r.what) for r in changes} == {
        ("c", "another place in the order"), ("a", "later"), ("b", "later"),
    }  # fmt: skip
    assert [r.hours for r in changes if r.tool == "c"] == [-72]


def test_levers_are_variants_that_were_planned():
    """Each lever's figures are those of its own patch, planned and audited; those that help come cheapest first."""
    helping = 0
    for seed in (3, 4, 8):
        campaign = small(seed)
        plan = plan_of(seed)
        tried = [try_lever(campaign, plan, idea, Unhurried(), rounds=1) for idea in ideas(campaign, plan)[:6]]
        planned_ones = [lever for lever in tried if lever is not None]
        assert len(planned_ones) > 3
        for lever in planned_ones:
            assert lever.audited
            assert lever.cost_change == pytest.approx(lever.comparison.cost_after - plan.outcome.total)
            assert lever.days_earlier == -sum(tier.days for tier in lever.comparison.tiers)
        found = best(planned_ones)
        assert [v.cost_change for v in found] == sorted(v.cost_change for v in found)
        helping += len(found)
    assert helping > 1


def test_a_swap_costs_what_the_swapped_order_costs():
    """Its figures, from the compiled plan, are those of the campaign with its pins, followed to the letter.

    First plans of some small campaigns can be bettered by swapping two runs: each swap says what it brings."""
    found = 0
    for seed in (0, 13, 17, 20, 22, 31, 33, 37, 39):
        campaign = small(seed)
        plan = plan_of(seed, 0)
        for swap in swaps(campaign, plan):
            found += 1
            assert swap.kg < 0 or swap.cost < 0 or max(swap.days.values()) > 0
            begins = [{"tool": tool, "colours": list(colours)} for tool, colours in swap.first]
            variant = changed(campaign, {"presses": {swap.press: {"begins_with": begins}}})
            inst, names = compile_campaign(variant)
            swapped = kept(inst, names, order_of(plan))
            assert swapped.audit.holds
            assert swapped.outcome.total == pytest.approx(plan.outcome.total + swap.cost, abs=0.01)
            on = [run for run in sorted(swapped.runs, key=lambda r: r.start) if run.press == swap.press]
            assert on[0].tool == swap.first[0][0]
            days = {t.tier: -t.days for t in compare(plan, swapped).tiers}
            assert days == {tier: swap.days[tier] for tier in days}
    assert found > 3


def test_levers_of_the_kinds_people_think_of():
    """An hour, a packer, a Saturday, a swapped order, a split lot, a setter, a pick-up, a delivery, a tool sooner."""
    campaign = small(3)
    late = chain({"a": (3, 3, 3)}).model_dump(mode="json", exclude_unset=True)
    late["tools"]["a"]["ready"] = "2027-01-06"
    campaigns = [*(small(seed) for seed in SEEDS), Campaign.model_validate(late)]
    titles = " | ".join(i.title for each in campaigns for i in ideas(each, planned(each, 0)))
    for words in ("an hour longer", "packer more", "Saturday shift", " before ", "lots of", "setter more", "pick-up",
                  "deliveries of", "days sooner (what the toolmaker"):  # fmt: skip
        assert words in titles, words
    plan = plan_of(3, 0)
    for idea in ideas(campaign, plan):
        changed(campaign, idea.patch)  # raises where a patch would make a campaign that contradicts itself


def test_what_helps_no_more_than_planning_again_is_no_lever():
    def lever(title, cost, days, kg):
        return Lever(title=title, patch={}, cost_change=cost, days_earlier=days, waste_kg_less=kg, per_day=None,
                     comparison=compare(plan, plan))  # fmt: skip

    plan = plan_of(5)
    levers = [
        lever(AS_IT_IS, -10, 0, 1.0), lever("same", -10, 0, 1.0), lever("sooner", 40, 2, 0.0),
        lever("cleaner", 5, 0, 3.0),
    ]  # fmt: skip
    assert [v.title for v in best(levers)] == [AS_IT_IS, "cleaner", "sooner"]
    assert [v.title for v in best(levers, goal="sooner")] == ["sooner"]
    assert [v.title for v in best(levers, goal="less waste")] == [AS_IT_IS, "cleaner"]


def test_an_hour_more_brings_a_tier_forward():
    """Sixty hours' work at eight hours a day leave on the eighth day; at nine hours, on the seventh."""
    data = chain({"a": (2.5, 2.5, 2.5)}).model_dump(mode="json")
    data["presses"]["one"]["hours"] = {"mon-sun": "08:00-16:00"}
    campaign = Campaign.model_validate(data)
    plan = planned(campaign)
    longer = next(idea for idea in ideas(campaign, plan) if "an hour longer" in idea.title)
    lever = try_lever(campaign, plan, longer, Unhurried(), rounds=1)
    assert longer.patch == {"presses": {"one": {"hours": {"mon-sun": "08:00-17:00"}}}}
    assert lever.days_earlier == 1


def test_people_made_to_wait_are_counted_one_by_one():
    """Three days' work on one tool, leaving on the 7th: ten days later all its orders wait ten days. By hand."""
    campaign = chain({"a": (3, 3, 3)})
    plan = planned(campaign)
    cell = Study(campaign, plan, rounds=0).cell(Asked(Slip("tool", "a", 10), POLICIES[0]))
    orders = sum(line.count for line in campaign.orders)
    assert (cell.people, cell.longest_days, cell.waiting_days) == (orders, 10, 10 * orders)
    assert waiting(plan, plan) == Waiting(0, 0, 0)


@pytest.mark.parametrize("seed", SEEDS)
def test_one_slip_is_recognised_in_a_changed_campaign(seed):
    """Whoever changes just that in a variant asks the same question; two changes at once are none of the table's."""
    campaign = small(seed)
    for kind, name in things(campaign):
        late = slipped(campaign, Slip(kind, name, 4))
        as_sent = Campaign.model_validate(late.model_dump(mode="json", by_alias=True))
        assert slip_between(campaign, as_sent) == Slip(kind, name, 4), (kind, name)
        both = as_sent.model_copy(update={"closed_days": [*campaign.closed_days, date(2030, 1, 1)]})
        assert slip_between(campaign, both) is None
    assert slip_between(campaign, campaign) is None


def test_a_variant_is_never_dearer_than_the_quick_look():
    """Planning a slip as a variant begins with the very search the table made."""
    campaign = small(2)
    plan = plan_of(2)
    kind, name = things(campaign)[0]
    slip = Slip(kind, name, 7)
    quick = Study(campaign, plan, rounds=ANEW_ROUNDS).cell(Asked(slip, POLICIES[1]))
    late = slipped(campaign, slip)
    planning = late.planning.model_copy(update={"begin_from": order_of(plan), "rounds": ANEW_ROUNDS + 1})
    variant = make_plan(late.model_copy(update={"planning": planning}), Unhurried())
    assert variant.outcome.total <= quick.cost + 0.01


def test_planning_again_that_lets_fewer_wait_is_said_to_help():
    """The last parcel leaves on the same day, but most have left by then."""

    def cell(policy, people, longest):
        tier = TierChange(
            tier="pair", before="2027-01-08", after="2027-01-14", days=6, promised="2027-01-08", days_late=6
        )
        return Cell(
            kind="tool", name="shell", days=10, policy=policy, possible=True, audited=True, cost=1.0, cost_change=0.0,
            purge_kg_change=0.0, runs_moved=0, tiers=[tier], people=people, longest_days=longest,
        )  # fmt: skip

    def end(people, longest):
        anew = cell(POLICIES[1], people, longest)
        return slip_words("tool", "shell", cell(POLICIES[0], 1500, 6), anew, "GBP").split("; ")[-1]

    assert end(200, 6) == "planned again 1,300 orders fewer wait."
    assert end(1499, 6) == "planned again one order fewer waits."
    assert end(1500, 4) == "planned again nobody waits more than 4 days longer."
    assert end(1500, 6) == end(1600, 6) == "planning again does not help."
