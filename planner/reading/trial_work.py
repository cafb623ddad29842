"""Trials of tools on our own presses as work on the floor: a press is not free for runs while a tool is tried in it,
and afterwards the trial's tool and melt are in it (RULES.md, S10.4)."""

from dataclasses import replace
from datetime import datetime

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.presses import OthersWork
from planner.errors import Problem

Places = dict[str, str]
"""Pointer of an entry that no document has -> that of the trial it stands for."""


def with_trials(campaign: Campaign) -> tuple[Campaign, Places]:
    """The campaign in which trials are among what else is done on their presses, and which entries those are."""
    presses, places = dict(campaign.presses), Places()
    for tool, said in campaign.uncertainty.tools.items() if campaign.uncertainty else ():
        trial = said.first_trial
        if trial is None or trial.on is None or trial.hours is None or trial.press not in presses:
            continue
        day = trial.on.date() if isinstance(trial.on, datetime) else trial.on
        resins = list(dict.fromkeys(melt.rpartition("/")[0] for melt in trial.melts))
        work = OthersWork(on_dates={day: trial.hours}, leaves=trial.melts, moulds=resins)
        press = presses[trial.press]
        if work in press.others:  # written down from a campaign that was read before
            continue
        places[pointer("presses", trial.press, "others", len(press.others))] = pointer(
            "uncertainty", "tools", tool, "first_trial"
        )
        presses[trial.press] = press.model_copy(update={"others": [*press.others, work]})
    return (campaign.model_copy(update={"presses": presses}), places) if places else (campaign, places)


def of_trials(problems: list[Problem], places: Places) -> list[Problem]:
    """Problems of those entries told of the trials."""

    def told(problem: Problem) -> Problem:
        for entry, trial in places.items():
            if problem.pointer.startswith(entry):
                field = problem.pointer.removeprefix(entry).replace("/leaves", "/melts").replace("/moulds", "/melts")
                return replace(problem, pointer=trial + field)
        return problem

    return [told(problem) for problem in problems]
