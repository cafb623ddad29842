"""Steps left on tools: days counted by hand, textbook networks, and the auditor's own sum."""

from datetime import date, datetime
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.actuals.entries import Actuals
from planner.actuals.remaining_campaign import from_here
from planner.audit import tool_steps as audited
from planner.audit.auditor import audit
from planner.campaign import Campaign
from planner.control import Unhurried
from planner.errors import CampaignProblems
from planner.planning.make import make_plan
from planner.promise.make import make_promise
from planner.promise.scenarios import draw
from planner.readiness import Network, ready_days, ready_of
from planner.readiness.working_days import position
from planner.slips.slip import Slip, slipped
from tests.planner.readiness.steps_campaign import campaign, document
from tests.support.sampled import examples

ANNA = {"anna": {}}
REWORK = {
    "measure": {"days": 1, "by": "anna"},
    "metal-on": {"days": {"early": 7, "likely": 8, "late": 10}, "by": "anna"},
    "try": {"days": 1},
    "approve": {"days": 3},
}


def test_working_days_leave_out_weekends_and_calendar_days_do_not():
    """By hand from Mon 11 Jan 2027: measured on the 11th; eight working days are 12 to 15, 18 to 21 Jan; tried on
    Fri 22; three days of waiting, 23 to 25; ready on Tue 26 Jan."""
    asked = campaign({"lid": REWORK}, ANNA)
    assert ready_of(asked, "lid") == date(2027, 1, 26)
    laid = Network(asked).likely
    assert [(laid["lid", s].begin, laid["lid", s].end) for s in REWORK] == [(0, 1), (1, 11), (11, 12), (12, 15)]


def test_a_toolmaker_does_one_step_at_a_time():
    """By hand: the second tool's two and a half days wait for the first's rework, done on the evening of Thu 21 Jan:
    Fri 22, Mon 25, and half of Tue 26, so it is ready on Wed 27; done by somebody else it is ready on Thu 14."""
    polish = {"polish": {"days": 2.5, "by": "anna"}}
    both = campaign({"lid": REWORK, "cup": polish}, ANNA)
    assert ready_of(both, "cup") == date(2027, 1, 27)
    network = Network(both)
    assert network.chain(network.likely, "cup") == [("cup", "polish"), ("lid", "metal-on"), ("lid", "measure")]
    other = campaign({"lid": REWORK, "cup": {"polish": {"days": 2.5, "by": "ben"}}}, ANNA | {"ben": {}})
    assert ready_of(other, "cup") == date(2027, 1, 14)
    assert ready_of(other, "lid") == ready_of(both, "lid")


def test_who_waits_is_not_in_the_way_of_others():
    """While a trial's verdict is waited for, the toolmaker goes on with the other tool."""
    lid = {"try": {"days": 4}, "polish": {"days": 1, "by": "anna"}}
    asked = campaign({"lid": lid, "cup": {"texture": {"days": 3, "by": "anna"}}}, ANNA)
    assert ready_of(asked, "cup") == date(2027, 1, 14)
    assert ready_of(asked, "lid") == date(2027, 1, 16)


def test_days_off_days_of_trials_and_what_is_done():
    """By hand: Anna is off on Wed 13; the trial cannot be before Mon 18; what is done on the 12th ended then."""
    off = {"anna": {"closed_days": ["2027-01-13"]}}
    assert ready_of(campaign({"lid": {"polish": {"days": 3, "by": "anna"}}}, off), "lid") == date(2027, 1, 15)
    trial = {"polish": {"days": 1, "by": "anna"}, "try": {"days": 1, "not_before": "2027-01-18"}}
    assert ready_of(campaign({"lid": trial}, ANNA), "lid") == date(2027, 1, 19)
    done = {"polish": {"days": 9, "by": "anna", "done": "2027-01-12"}, "try": {"days": 2}}
    assert ready_of(campaign({"lid": done}, ANNA), "lid") == date(2027, 1, 14)
    all_done = {"polish": {"days": 9, "done": "2027-01-12T15:00"}}
    assert ready_of(campaign({"lid": all_done}), "lid") == datetime(2027, 1, 12, 15)


def test_it_is_ready_when_both_its_day_and_its_steps_are():
    left = {"polish": {"days": 3, "by": "anna"}}
    assert ready_of(campaign({"lid": left}, ANNA, ready="2027-01-12"), "lid") == date(2027, 1, 14)
    assert ready_of(campaign({"lid": left}, ANNA, ready="2027-01-20"), "lid") == date(2027, 1, 20)
    assert ready_of(campaign({"lid": {}}), "lid") is None


MILWAUKEE = {"A": (1, 2, 3, ""), "B": (2, 3, 4, ""), "C": (1, 2, 3, "A"), "D": (2, 4, 6, "AB"), "E": (1, 4, 7, "C"),
             "F": (1, 2, 9, "C"), "G": (3, 4, 11, "DE"), "H": (1, 2, 3, "FG")}  # fmt: skip
"""Heizer and Render, Operations Management, project management: eight activities, 15 weeks, variance 3.1111,
P(<= 16) .7146 (weeks taken as days)."""


def milwaukee(days, names=MILWAUKEE):
    steps = {
        name.lower(): {
            "days": days(*MILWAUKEE[name][:3]),
            "after": [b.lower() for b in MILWAUKEE[name][3] if b in names],
        }
        for name in names
    }
    return campaign({"lid": steps}, start="2027-01-04T00:00")


def test_a_textbook_network_takes_as_long_as_the_book_says():
    asked = milwaukee(lambda a, m, b: (a + 4 * m + b) / 6)
    assert ready_of(asked, "lid") == date(2027, 1, 19)
    network = Network(asked)
    assert [step for _, step in network.chain(network.likely, "lid")] == ["h", "g", "e", "c", "a"]
    laid = network.likely
    assert laid["lid", "d"].end == laid["lid", "g"].begin - 1, "the book's slack of B and D is one"
    assert laid["lid", "f"].end == laid["lid", "h"].begin - 6, "the book's slack of F is six"


def test_a_textbook_chain_is_as_unsure_as_the_book_says():
    """Its critical path alone: mean 15, variance 3.1111. Drawn ends are whole days up, so half a day is taken off."""
    shape = lambda a, m, b: {"early": a, "likely": m, "late": b, "shape": "pert"}  # noqa: E731
    replications = 4000
    likely = ready_of(milwaukee(shape, "ACEGH"), "lid")
    days = draw(milwaukee(shape, "ACEGH"), replications, 5).ready_days["lid"] + (likely - date(2027, 1, 4)).days
    variance = 3.1111 + 1 / 12
    assert abs(days.mean() - 0.5 - 15) < 3 * np.sqrt(variance / replications)
    assert days.var() == pytest.approx(variance, rel=0.08)
    whole = (
        draw(milwaukee(shape), replications, 5).ready_days["lid"]
        + (ready_of(milwaukee(shape), "lid") - date(2027, 1, 4)).days
    )
    assert days.mean() < whole.mean() < days.mean() + 0.5, "paths beside it make it later, not much here"


step = st.fixed_dictionaries(
    {"days": st.one_of(st.integers(0, 9).map(float), st.sampled_from([0.5, 0.25, 1.75]),
                       st.just({"early": 1, "likely": 2.5, "late": 9}))},
    optional={
        "by": st.sampled_from(["anna", "ben"]),
        "not_before": st.sampled_from(["2027-01-11", "2027-01-16", "2027-01-20T13:30"]),
        "done": st.sampled_from(["2027-01-08", "2027-01-12T10:00"]),
        "after": st.sampled_from([[], ["first"]]),
    },
)  # fmt: skip
left_on_tools = st.dictionaries(
    st.sampled_from(["lid", "cup", "ring"]),
    st.lists(step, min_size=1, max_size=5).map(
        lambda steps: {
            ("first" if n == 0 else f"s{n}"): (s if n else {k: v for k, v in s.items() if k != "after"})
            for n, s in enumerate(steps)
        }
    ),
    min_size=1,
)


@settings(max_examples=examples(150), deadline=None)
@given(left=left_on_tools, as_of=st.sampled_from([None, "2027-01-13T09:00"]))
def test_the_auditors_sum_agrees_and_nobody_does_two_things_at_once(left, as_of):
    makers = {"anna": {}, "ben": {"works_on": ["tue", "sat"], "closed_days": ["2027-01-16"]}}
    asked = Campaign.model_validate(document(left, makers, **({"steps_as_of": as_of} if as_of else {})))
    assert audited.ready_days(asked) == ready_days(asked)
    network = Network(asked)
    for by in makers:
        spans = sorted(
            (laid.begin, laid.end)
            for (tool, name), laid in network.likely.items()
            if (s := asked.tools[tool].until_ready[name]).by == by and s.done is None and laid.end > laid.begin
        )
        assert all(end <= begin + 1e-9 for (_, end), (begin, _) in pairwise(spans))
    for of, theirs in audited.steps_of(asked).items():
        first = audited.since(network.first)
        assert float(theirs.end - first) == pytest.approx(network.likely[of].end, abs=1e-6)


def test_a_plan_waits_for_its_steps_and_shows_them():
    asked = campaign({"lid": REWORK, "cup": {}}, ANNA)
    plan = make_plan(asked, Unhurried())
    lid = next(run for run in plan.runs if run.tool == "lid")
    assert lid.changeover.start >= datetime(2027, 1, 26, tzinfo=lid.changeover.start.tzinfo)
    assert [(line.step, line.decides) for line in plan.tool_steps] == [(name, True) for name in REWORK]
    assert plan.tool_steps[1].waits_for == "measure (lid)"
    assert all(rule.holds for rule in audit(asked, plan).rules)


def test_without_its_steps_the_lid_is_moulded_sooner():
    begins = {}
    for steps in (REWORK, {}):
        plan = make_plan(campaign({"lid": steps, "cup": {}}, ANNA), Unhurried())
        begins[bool(steps)] = min(run.start for run in plan.runs if run.tool == "lid")
    assert begins[False] < begins[True]


@pytest.mark.parametrize("spoil", ["end", "missing", "too early"])
def test_the_auditor_sees_what_is_wrong_with_them(spoil):
    asked = campaign({"lid": REWORK, "cup": {}}, ANNA)
    plan = make_plan(asked, Unhurried())
    lines = plan.tool_steps
    if spoil == "end":
        lines = [*lines[:-1], lines[-1].model_copy(update={"end": lines[-1].begin})]
    elif spoil == "missing":
        lines = lines[:-1]
    else:  # the plan is of a campaign in which the approval is a week quicker
        asked = campaign({"lid": REWORK | {"approve": {"days": 10}}, "cup": {}}, ANNA)
    broken = audit(asked, plan.model_copy(update={"tool_steps": lines}))
    assert [rule.rule for rule in broken.rules if not rule.holds][:1] == ["A3"]


def test_drawn_days_are_those_of_the_campaign_written_out_anew():
    """Every replication's day is the day of the same campaign with the drawn days as its figures."""
    left = {"lid": REWORK, "cup": {"polish": {"days": 2, "by": "anna"}}}
    asked = campaign(left, ANNA)
    days = draw(asked, 40, 11)
    drawn = {factor.name: factor.values for factor in days.factors if "/step/" in factor.name}
    assert set(drawn) == {f"tool/lid/step/{s}" for s in REWORK} | {"tool/cup/step/polish"}
    for k in range(40):
        again = {
            tool: {s: known | {"days": float(drawn[f"tool/{tool}/step/{s}"][k])} for s, known in steps.items()}
            for tool, steps in left.items()
        }
        for tool, on in ready_days(campaign(again, ANNA)).items():
            assert days.ready_days[tool][k] == (on - ready_of(asked, tool)).days


def test_a_promise_names_the_step_that_decides():
    left = {"lid": {"metal-on": {"days": {"early": 3, "likely": 8, "late": 40}, "by": "anna"}, "try": {"days": 1}}}
    asked = campaign(left, ANNA)
    promise = make_promise(asked, make_plan(asked, Unhurried()), replications=300)
    assert promise.tiers[0].drivers[0].about == "metal on (lid)"


def test_a_slip_moves_the_day_that_the_steps_give():
    asked = campaign({"lid": REWORK}, ANNA)
    assert ready_of(slipped(asked, Slip("tool", "lid", 5)), "lid") == date(2027, 1, 31)


def test_steps_are_ticked_in_the_log():
    """Measured a day late, at noon of Tue 12 Jan: the rework goes on from there, half a day later."""
    asked = campaign({"lid": REWORK}, ANNA)
    log = {
        "as_of": "2027-01-12T17:00",
        "entries": [{"what": "tool-step", "at": "2027-01-12T12:00", "tool": "lid", "step": "measure"}],
    }
    now = from_here(asked, None, Actuals.model_validate(log)).campaign
    laid = Network(now).likely
    assert position(date(2027, 1, 12), Network(now).first) + 0.5 == laid["lid", "measure"].end
    assert laid["lid", "metal-on"].end == 11.5, "noon of Tue 12 and eight working days: noon of Fri 22"
    assert ready_of(now, "lid") == date(2027, 1, 27)


def test_what_should_be_done_and_is_not_ticked_is_not_done():
    """Two days after the last step was to end nothing is ticked: it is ready the next day at the earliest."""
    asked = campaign({"lid": {"polish": {"days": 2, "by": "anna"}}}, ANNA)
    now = from_here(asked, None, Actuals.model_validate({"as_of": "2027-01-14T17:00", "entries": []})).campaign
    assert ready_of(now, "lid") == date(2027, 1, 15)


def test_news_of_the_tool_goes_before_its_steps():
    asked = campaign({"lid": REWORK}, ANNA)
    news = {"what": "tool", "at": "2027-01-12T12:00", "tool": "lid", "ready": "2027-01-14"}
    now = from_here(asked, None, Actuals.model_validate({"as_of": "2027-01-12T17:00", "entries": [news]})).campaign
    assert ready_of(now, "lid") == date(2027, 1, 14)


@pytest.mark.parametrize(
    ("change", "where", "says"),
    [
        ({"try": {"days": 1, "after": ["approve"]}, "approve": {"days": 1}}, "/try/after/0", "listed later"),
        ({"try": {"days": 1, "after": ["sing"]}}, "/try/after/0", "no step of this tool"),
        ({"try": {"days": 1, "by": "ann"}}, "/try/by", "no toolmaker `ann`"),
        ({"try": {"days": {"early": -1, "likely": 2, "late": 3}}}, "/try/days", "-1 to 3 days"),
    ],
)
def test_what_makes_no_sense_is_refused_with_its_field(change, where, says):
    with pytest.raises(CampaignProblems) as refused:
        campaign({"lid": change}, ANNA)
    assert [(p.pointer, says in p.message) for p in refused.value.problems] == [
        (f"/tools/lid/until_ready{where}", True)
    ]


def test_an_entry_of_a_step_that_is_not_left_is_refused():
    asked = campaign({"lid": REWORK}, ANNA)
    entry = {"what": "tool-step", "at": "2027-01-12T12:00", "tool": "lid", "step": "sing"}
    with pytest.raises(CampaignProblems, match="no step `sing` left"):
        from_here(asked, None, Actuals.model_validate({"as_of": "2027-01-12T17:00", "entries": [entry]}))
