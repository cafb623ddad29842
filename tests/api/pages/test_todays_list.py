"""Today's list: what the plan asks for, less what the log says is done; ticked with one press."""

import re
from datetime import date, datetime, timedelta

import pytest

from api.pages.needs import in_order, needs, ticked, todays
from api.services.floor_log import ENTRY
from planner.plan.needed import ToolStepDates
from tests.api.plan_fixtures import publish_pots
from tests.support.pot_campaign import pot_campaign
from tests.support.pot_plan import pot_plan

DAY = date(2027, 1, 11)
FIELDS = re.compile(r'<button name="key" value="([^"]+)" aria-label="([^"]+)"')


def logged(*entries):
    return [ENTRY.validate_python(entry) for entry in entries]


def asked_for(app, plan_id):
    """What stands beside each button of the list -> what it ticks, over the first twelve days."""
    found = {}
    for n in range(12):
        page = app.client.get(f"/plans/{plan_id}?on={DAY + timedelta(days=n)}").text
        found |= {said: key for key, said in FIELDS.findall(page)}
    return found


def test_everything_can_be_ticked_away():
    """Each need ticked once, in any order of days, leaves nothing undone but work that its run's last tick ends."""
    log = []
    for _ in range(500):
        left = [need for need in needs(pot_plan(), pot_campaign(), log) if need.tick]
        if not left:
            break
        log += logged(*ticked(left[0], datetime(2027, 1, 11, 8)))
    assert list(needs(pot_plan(), pot_campaign(), log)) == []
    told = {entry.what for entry in log}
    assert told >= {"ordered", "delivery", "tool", "ticked", "shots", "packed"}


def test_days_of_work_hold_that_work():
    """Every run stands on each day on which it is moulded, every batch on the day it is packed."""
    plan = pot_plan()
    found = list(needs(plan, pot_campaign(), []))
    for run in plan.runs:
        days = {stretch.start.date() for stretch in run.stretches}
        assert {need.day for need in found if need.key.startswith(f"run {run.id} ")} == days
    packed = {need.day for need in found if need.what == "pack"}
    assert packed == {batch.start.date() for batch in plan.batches}


def test_what_is_over_and_undone_is_overdue_and_what_is_done_is_not():
    """A week later all of the first day is overdue; what was ordered, set up or made is not asked for again."""
    plan, campaign = pot_plan(), pot_campaign()
    later = DAY + timedelta(days=7)
    before = todays(in_order(plan, campaign, []), later)
    assert before.overdue
    assert all(need.day < later for need in before.overdue)
    some = next(need for need in before.overdue if need.tick)
    after = todays(in_order(plan, campaign, logged(*ticked(some, datetime(2027, 1, 12, 9)))), later)
    assert some.key not in [need.key for need in after.overdue]


def test_a_step_of_a_tool_is_asked_for_on_its_first_day_until_it_is_done():
    """Whether the campaign knows that it is done or only the log does; another tool's step of that name stays."""
    begin = datetime(2027, 1, 5, 8)
    step = ToolStepDates(
        tool="small", step="trial", what="the first trial of small", by="Toolshop", begin=begin,
        end=begin + timedelta(days=2), done=False, waits_for="", decides=True,
    )  # fmt: skip
    steps = [step, step.model_copy(update={"tool": "large"}), step.model_copy(update={"step": "polish", "done": True})]
    plan = pot_plan().model_copy(update={"tool_steps": steps})

    def asked(log):
        return [need for need in needs(plan, pot_campaign(), log) if need.key.startswith("step ")]

    first, second = asked([])
    assert (first.key, first.day, first.what, first.tick) == ("step small trial", date(2027, 1, 5), "tool", "done")
    assert first.text == "the first trial of small begins, Toolshop, to be done by Thu 7 Jan 2027"
    told = {"what": "tool-step", "tool": "small", "step": "trial", "at": "2027-01-07T10:00"}
    assert asked(logged(told)) == [second]
    assert second.key == "step large trial"
    assert asked(logged(*ticked(first, datetime(2027, 1, 7, 10)))) == [second]


def test_nothing_is_to_be_ordered_on_a_closed_day():
    """An order-by day at a weekend is asked for on the Friday before; a delivery of a Sunday on the Monday after."""
    campaign = pot_campaign()
    for closed in ([], [date(2027, 1, 14), date(2027, 1, 15)]):
        shut = campaign.model_copy(update={"closed_days": closed})
        for need in needs(pot_plan(), shut, []):
            if need.what in ("order", "delivery"):
                assert need.day.weekday() < 5, need
                assert need.day not in closed, need


@pytest.mark.parametrize("what", ["ordered", "is set up", "run done", "packed", "handed over"])
def test_a_tick_goes_into_the_log_and_from_the_list(app, what):
    """From a phone, without script: one form, one button; pressed twice, it counts once."""
    plan_id = publish_pots(app.service)
    keys = asked_for(app, plan_id)
    said = next(said for said in keys if said.startswith(what.capitalize()))
    for _ in range(2):
        answer = app.client.post(f"/plans/{plan_id}/today", data={"key": keys[said]}, follow_redirects=False)
        assert answer.status_code == 303
    entries = app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]
    assert entries
    assert app.client.get(f"/plans/{plan_id}/log").status_code == 200
    once = len(entries)
    app.client.post(f"/plans/{plan_id}/today", data={"key": keys[said]})
    assert len(app.client.get(f"/v1/plans/{plan_id}/actuals").json()["entries"]) == once
    assert keys[said] not in asked_for(app, plan_id).values()
    for entry in entries:
        assert app.client.delete(f"/v1/plans/{plan_id}/actuals/{entry['id']}").status_code == 204
    assert keys[said] in asked_for(app, plan_id).values(), "a tick that was struck out is asked for again"


def test_who_reads_first_decides_nothing_for_who_reads_next(app):
    """What is worked out once for a plan is worked out for each language: in either order each reads their own."""
    plan_id = publish_pots(app.service)
    for first, second in (("de", "en"), ("en", "de")):
        texts = {}
        for language in (first, second):
            address = f"/plans/{plan_id}?on=2027-01-11"
            texts[language] = app.client.get(address, headers={"accept-language": language}).text
        assert re.search(r"\d+ Schuss, bis \d\d:\d\d", texts["de"])
        assert re.search(r"\d+ shots, until \d\d:\d\d", texts["en"])
        assert not re.search(r"\d+ shots", texts["de"].partition('id="today"')[2].partition("</section>")[0])
