"""Others' work on a press, written beside our runs: what they leave before one, and when they take over after one."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime
from itertools import groupby

from planner.calendars.others import Taken, press_stretches
from planner.plan.document import OthersBefore, Run
from planner.plan.runs import RunUse
from planner.schedule.encode import Names
from planner.schedule.encode.others import left_in

SOON = 7 * 86400
"""Seconds after our last run on a press within which it is said who takes it over."""


def with_others_work(names: Names, uses: Sequence[RunUse]) -> list[RunUse]:
    """The runs, by press and then in order of work, each with who was at its press before it and comes after it."""
    found: list[RunUse] = []
    for press, group in groupby(uses, key=lambda use: use.run.press):
        there = list(group)
        found += _on_press(names, press, there) if names.campaign.presses[press].others else there
    return found


def _on_press(names: Names, press: str, uses: Sequence[RunUse]) -> Iterator[RunUse]:
    second, machine = names.clock.seconds, names.campaign.presses[press]
    # beyond what is looked at: where the days laid out end, a press that is always open would seem to close
    days = (second(uses[-1].run.end) + SOON) // 86400 + 3
    _, taken = press_stretches(names.campaign, machine, names.clock, days)
    before = 0
    for use, following in zip(uses, [*uses[1:], None], strict=True):
        run = use.run
        came = _between(taken, before, second(_begin(run)))
        before = second(run.end)
        after = _between(taken, before, second(_begin(following.run)) if following else before + SOON)
        change = run.changeover
        if came and change is not None:
            last = max(one.end for one in came)
            who = sorted({one.which for one in came if one.end == last})
            told = OthersBefore(
                since=names.clock.moment(min(one.start for one in came)),
                until=names.clock.moment(last),
                left=[left_in(machine, who, barrel) for barrel in range(len(machine.barrels))],
            )
            change = change.model_copy(update={"after_others": told})
        others_from = names.clock.moment(max(before, min(one.start for one in after))) if after else None
        yield replace(use, run=run.model_copy(update={"changeover": change, "others_from": others_from}))


def _begin(run: Run) -> datetime:
    return run.changeover.start if run.changeover else run.stretches[0].start


def _between(taken: Sequence[Taken], since: int, until: int) -> list[Taken]:
    """Others' work there between two moments, seconds."""
    return [one for one in taken if one.start < until and one.end > since]
