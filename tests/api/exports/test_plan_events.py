"""What stands in a plan's calendar, of the plan worked by hand."""

from datetime import timedelta

from api.exports.plan_events import plan_events
from planner.plan.document import RunPlan
from tests.support.pot_plan import pot_plan


def events(plan: RunPlan):
    return {event.id: event for event in plan_events(plan)}


def test_every_run_changeover_batch_and_pick_up_is_there_once():
    """A run has as many events as stretches; their names count them."""
    plan = pot_plan()
    found = list(plan_events(plan))
    assert len({event.id for event in found}) == len(found)
    for run in plan.runs:
        mine = [event for event in found if event.id.startswith(f"{run.id}-") and event.id[-1].isdigit()]
        assert [(one.start, one.end) for one in mine] == [(part.start, part.end) for part in run.stretches]
        assert all(one.where == run.press and one.kind == "press" for one in mine)
        assert (f"{run.id}-changeover" in {event.id for event in found}) == (run.changeover is not None)
    assert sum(event.kind == "pick-up" for event in found) == len(plan.dispatches)
    assert {job.id for job in plan.assembly} | {batch.id for batch in plan.batches} <= {event.id for event in found}


def test_shots_of_a_stretch_are_counted_among_all_of_the_run():
    plan = pot_plan()
    for run in plan.runs:
        for n, part in enumerate(run.stretches, start=1):
            title, notes = events(plan)[f"{run.id}-{n}"].title, events(plan)[f"{run.id}-{n}"].notes
            assert f"{part.shots} shots" in title
            assert (f"({n} of {len(run.stretches)})" in title) == (len(run.stretches) > 1)
            assert f"{run.shots} shots in all" in notes.replace(",", "")


def test_after_the_last_stretch_alone_others_take_the_press_over():
    plan = pot_plan()
    run = max(plan.runs, key=lambda one: len(one.stretches))
    then = run.end + timedelta(hours=1)
    changed = [one.model_copy(update={"others_from": then}) if one is run else one for one in plan.runs]
    before, after = events(plan), events(plan.model_copy(update={"runs": changed}))
    assert not any("then:" in event.notes for event in before.values())
    assert [name for name, event in after.items() if "then:" in event.notes] == [f"{run.id}-{len(run.stretches)}"]


def test_whoever_stays_at_a_run_is_said():
    plan = pot_plan()
    first = plan.runs[0]
    changed = [first.model_copy(update={"operators": 2}), *plan.runs[1:]]
    with_two = events(plan.model_copy(update={"runs": changed}))[f"{first.id}-1"].notes.split("\n")
    alone = events(plan)[f"{first.id}-1"].notes.split("\n")
    assert len(with_two) == len(alone) + 1
