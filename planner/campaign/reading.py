"""A campaign read from plain data: all its problems at once, in the maker's words."""

from collections.abc import Iterable
from typing import Any

from pydantic import ValidationError

from planner.campaign.checks import check
from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.wording import said
from planner.errors import CampaignProblems, Problem


def read(data: object) -> Campaign:
    """The campaign in `data` (as parsed from JSON), fit to be planned.

    Raises CampaignProblems with every problem found: first fields that cannot be read, or, once all can be, everything
    the cross-checks find.
    """
    try:
        campaign = Campaign.model_validate(data)
    except ValidationError as error:
        raise CampaignProblems(problems_in(error, data)) from error
    problems = check(campaign)
    if problems:
        raise CampaignProblems(problems)
    return campaign


def problems_in(error: ValidationError, data: object) -> list[Problem]:
    """What pydantic found wrong in `data`, in the maker's words.

    One problem per field: of several readings that all failed (a day, a moment), the last one speaks.
    """
    by_field: dict[str, Problem] = {}
    for found in error.errors(include_url=False):
        steps = _steps(found["loc"], data)
        where = pointer(*steps)
        message, remedy = said(found["type"], found["msg"], found.get("ctx", {}), steps, found["input"])
        by_field[where] = Problem(where, message, remedy)
    return list(by_field.values())


def _steps(loc: Iterable[str | int], data: object) -> list[str | int]:
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
    return steps
