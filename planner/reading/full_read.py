"""A campaign read from plain data: all its problems at once, in the maker's words."""

from collections.abc import Iterable
from contextlib import suppress
from typing import Any

from pydantic import ValidationError

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import CampaignProblems, Problem
from planner.reading.checks import check, check_names
from planner.reading.open_orders import as_it_stood, with_open_orders
from planner.reading.order_book import with_lines_alike
from planner.reading.partial_read import Steps, readable_rest
from planner.reading.trial_work import of_trials, with_trials
from planner.reading.wording import said

MOST_SHOWN = 1000
"""Unreadable fields beyond that are counted, not listed."""


def read(data: object) -> Campaign:
    """The campaign in `data` (as parsed from JSON), fit to be planned.

    Raises CampaignProblems with every problem found. Where fields cannot be read at all, ids that name nothing are
    found all the same; whether tools fit and material arrives shows once everything can be read.
    """
    try:
        campaign = _validated(data)
    except ValidationError as error:
        found = _failing(error, data)
        raise CampaignProblems([*found.values(), *_problems_in_the_rest(data, list(found))]) from error
    campaign, trials = with_trials(campaign)
    campaign, places, problems = with_open_orders(campaign)
    problems += as_it_stood(of_trials(check(campaign), trials), places)
    if problems:
        raise CampaignProblems(problems)
    return campaign


def kept(text: str) -> Campaign:
    """The campaign of a document that was read before and is kept as its maker sent it: as `read` gave it, and not
    checked again."""
    campaign = Campaign.model_validate_json(text.removeprefix("\ufeff"))
    campaign, _ = with_trials(campaign)
    return with_open_orders(campaign)[0]


def _validated(data: object) -> Campaign:
    """Raises ValidationError, of the data as it was given."""
    quick = with_lines_alike(data)
    if quick is not data:
        with suppress(ValidationError):
            return Campaign.model_validate(quick)
    return Campaign.model_validate(data)


def problems_in(error: ValidationError, data: object) -> list[Problem]:
    """What pydantic found wrong in `data`, any document, in the maker's words: one problem per field."""
    return list(_failing(error, data).values())


def _failing(error: ValidationError, data: object) -> dict[Steps, Problem]:
    """Field -> its problem: of several readings that all failed (a day, a moment), the last one speaks."""
    found: dict[Steps, Problem] = {}
    for one in error.errors(include_url=False):
        steps = _steps(one["loc"], data)
        message, remedy = said(one["type"], one["msg"], one.get("ctx", {}), steps, one["input"])
        found[steps] = Problem(pointer(*steps), message, remedy)
    if len(found) > MOST_SHOWN:
        more = Problem(
            "", f"{len(found) - MOST_SHOWN} more fields cannot be read", "correct those listed, then try again"
        )
        found = dict(list(found.items())[:MOST_SHOWN]) | {(): more}
    return found


def _problems_in_the_rest(data: object, failing: list[Steps]) -> list[Problem]:
    """What the names of the readable rest contradict; nothing where too little can be read."""
    rest = readable_rest(data, failing)
    if rest is None:
        return []
    try:
        campaign = Campaign.model_validate(rest.data)
    except ValidationError:
        return []
    return [kept for problem in check_names(campaign) if (kept := rest.in_place(problem)) is not None]


def _steps(loc: Iterable[str | int], data: object) -> Steps:
    """The path to a field, without the steps pydantic adds for itself: which reading of a union, which key.

    A missing field's own name stays, as the last step.
    """
    steps: list[str | int] = []
    here: Any = data
    trail = list(loc)
    for n, step in enumerate(trail):
        last = n == len(trail) - 1
        if isinstance(here, dict) and step in here:
            here = here[step]
        elif isinstance(here, list | tuple) and isinstance(step, int) and (step < len(here) or last):
            here = here[step] if step < len(here) else None
        elif not (isinstance(here, dict) and last and step != "[key]"):
            continue
        steps.append(step)
    return tuple(steps)
