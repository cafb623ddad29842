"""A plan either way on its page, on paper and in the log: what to do now, a column for each outcome, and the tick."""

import html
import re

import pytest

from api.command.readable import readable
from api.languages import wording
from api.pages.either_way import MOST, now_lines, then_lines
from api.paper.writing import write_paper
from api.pictures.either_way import either_way_svg
from planner.control import Unhurried
from planner.planning.make import make_plan
from tests.api.plan_fixtures import publish
from tests.planner.expected.test_branches import trial


@pytest.fixture(scope="module")
def made():
    campaign = trial({"a": 4, "b": 2, "c": 5}, {"a": 30, "b": 40, "c": 24}, 0.5, 8, "as planned")
    return campaign, make_plan(campaign, Unhurried())


def words(text: str) -> str:
    """A page as it is read."""
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)))


def test_the_page_shows_both_side_by_side(app, made):
    plan_id = publish(app.service, *made)
    text = words(app.client.get(f"/plans/{plan_id}").text)
    section = text.partition("Either way")[2].partition("What if a tool is late")[0]
    assert "the trial of tool a" in section
    assert "Now b in grey on one" in section
    for branch in made[1].outcome.expected.branches.branches:
        assert f"If {branch.words} {words(wording.per_cent(branch.chance))}" in section
        assert words(wording.money(branch.mean, "EUR")) in section
    assert section.index("a in grey from") < section.index("If it does not work")


def test_what_each_way_to_go_on_is_worth_and_what_is_late_on_purpose(app, made):
    """Three policies with their means; tiers that leave late even if all goes well are said to be so on purpose only
    where the plan that is cheapest then has fewer of them."""
    campaign, plan = made
    said = plan.outcome.expected
    assert said.policy == "as planned"
    text = words(app.client.get(f"/plans/{publish(app.service, *made)}").text)
    table = text.partition("What if a tool is late")[2]
    for one, called in zip(said.policies, wording.LATE_SHORT.values(), strict=False):
        assert called in table
        assert words(wording.money(one.mean, "EUR")) in table
    assert "when a tool is late, its press keeps the order and waits" in table
    late = [tier.tier for tier in plan.tiers if tier.days_late]
    assert sorted(said.certain_late) == sorted(late)  # all are promised at the start
    assert "on purpose" not in text
    fewer = said.model_copy(update={"certain_late": late[1:]})
    apart = plan.model_copy(update={"outcome": plan.outcome.model_copy(update={"expected": fewer})})
    text = words(app.client.get(f"/plans/{publish(app.service, campaign, apart)}").text)
    assert f"{len(late)} tiers would leave late even if all goes well. That is so on purpose" in text
    assert "on purpose: " + ", ".join(late) in readable(apart)


def test_what_runs_then_is_told_press_by_press(made):
    told = made[1].outcome.expected.branches
    assert len(now_lines(told)) == 1
    assert now_lines(told)[0].startswith("b in grey on one, from ")
    for branch, order in zip(told.branches, (["a", "c"], ["c", "a"]), strict=True):
        [(press, said)] = then_lines(branch)
        assert press == "one"
        assert [one.split()[0] for one in said.split("; then ")] == order
    many = told.branches[0].model_copy(update={"runs": [*told.branches[0].runs[1:]] * 4})
    assert then_lines(many)[0][1].endswith(f"and {2 * 4 - MOST} more")


def test_the_picture_has_every_run_and_frames_what_is_the_same(made):
    campaign, plan = made
    told = plan.outcome.expected.branches
    picture = either_way_svg(told, campaign, plan.start)
    assert picture.count("<g><title>") == 6
    assert picture.count("the same either way") == 2 + 1  # two bars, and the line below
    assert picture.count('stroke-width="2.2"') == 2


def test_the_picture_is_as_high_as_what_is_in_it(made):
    """Every bar and the line of the day on which it is known end above the words below, and those within the frame."""
    campaign, plan = made
    picture = either_way_svg(plan.outcome.expected.branches, campaign, plan.start)
    height = float(re.search(r'viewBox="0 0 [0-9.]+ ([0-9.]+)"', picture)[1])
    bars = [
        float(y) + float(tall) for y, tall in re.findall(r'<rect [^>]*y="([0-9.]+)"[^>]*height="([0-9.]+)"', picture)
    ]
    known = float(re.search(r'y1="4" y2="([0-9.]+)"', picture)[1])
    words_below = float(re.search(r'y="([0-9.]+)"[^>]*>known from', picture)[1])
    assert len(bars) == 6
    assert max(bars) <= known < words_below - 11 < height - 11


def test_a_button_writes_down_how_it_turned_out(app, made):
    plan_id = publish(app.service, *made)
    sent = {"what": "turned-out", "thing": "tool/a/trial", "outcome": "does-not-work"}
    assert app.client.post(f"/plans/{plan_id}/log", data=sent, follow_redirects=False).status_code == 303
    [entry] = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    assert {name: entry["entry"][name] for name in sent} == sent
    assert "the trial of tool a: it does not work" in words(app.client.get(f"/plans/{plan_id}/log").text)
    chosen = {"what": "turned-out", "outcome": "tool/a/trial = works"}
    assert app.client.post(f"/plans/{plan_id}/log", data=chosen, follow_redirects=False).status_code == 303
    refused = app.client.post(f"/plans/{plan_id}/log", data=sent | {"outcome": "perhaps"})
    assert refused.status_code == 422
    assert "cannot turn out" in words(refused.text)


def test_todays_list_asks_how_it_went_until_it_is_ticked(app, made):
    plan_id = publish(app.service, *made)
    where = f"/plans/{plan_id}?on=2027-01-04"
    assert words(app.client.get(where).text).count("how did it go? the trial of tool a") == 2
    key = "settled tool/a/trial does-not-work"
    assert app.client.post(f"/plans/{plan_id}/today", data={"key": key}, follow_redirects=False).status_code == 303
    [entry] = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    assert (entry["entry"]["what"], entry["entry"]["outcome"]) == ("turned-out", "does-not-work")
    assert "how did it go?" not in app.client.get(where).text


def test_what_nobody_has_said_how_it_went_comes_before_all_else(app, made):
    """Its day is over: it is not folded away among what is overdue, and the plan says what it counts on meanwhile."""
    plan_id = publish(app.service, *made)
    later = app.client.get(f"/plans/{plan_id}?on=2027-01-08").text
    first = later[later.index('id="unsaid"') :]
    assert words(first).count("how did it go? the trial of tool a") == 2
    assert first.index("how did it go?") < first.index('class="overdue"')
    assert 'id="unsaid"' not in app.client.get(f"/plans/{plan_id}?on=2027-01-04").text
    app.client.post(f"/plans/{plan_id}/today", data={"key": "settled tool/a/trial works"}, follow_redirects=False)
    assert 'id="unsaid"' not in app.client.get(f"/plans/{plan_id}?on=2027-01-08").text


def test_paper_has_a_sheet_of_both(made):
    campaign, plan = made
    paper = write_paper(plan, campaign, 1, "http://here/plans/1").either_way
    told = plan.outcome.expected.branches
    assert paper.known == told.known
    assert [run.tool for run in paper.now] == ["b"]
    assert [[run.tool for run in way.runs] for way in paper.ways] == [["a", "c"], ["c", "a"]]
    assert [way.mean for way in paper.ways] == [branch.mean for branch in told.branches]


def test_a_plan_that_is_sure_says_nothing_of_it(app, made):
    campaign, plan = made
    sure = plan.model_copy(update={"outcome": plan.outcome.model_copy(update={"expected": None})})
    plan_id = publish(app.service, campaign, sure)
    assert "Either way" not in app.client.get(f"/plans/{plan_id}").text
    assert write_paper(sure, campaign, 1, "http://here/plans/1").either_way is None
