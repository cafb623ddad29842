"""Dates that no calendar reaches, and such as lie further from the start than anybody plans."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem

EARLIEST, LATEST = 1970, 2200
LONGEST_LEAD_DAYS = 3650
LONGEST_AHEAD = timedelta(days=3650)
"""From the start to the last date that something waits for: calendars are laid out as far, and the auditor believes no
moment that lies much further."""

NOTHING_WAITS = {"closed_days", "not_on", "promised", "promised_in", "planning"}
"""Fields whose dates may lie anywhere."""

Steps = tuple[str | int, ...]


def check(campaign: Campaign) -> list[Problem]:
    """Years and lead times that must be slips of the pen; calendars could not be laid out for them."""
    problems = []
    start = campaign.start.date()
    last = start + LONGEST_AHEAD if EARLIEST <= start.year <= LATEST else date.max
    for steps, moment in (*_dates(campaign, ()), *_openings(campaign)):
        if not EARLIEST <= moment.year <= LATEST:
            problems.append(
                Problem(pointer(*steps), f"{moment.isoformat()} is too far away to plan for", "check the year")
            )
        elif date(moment.year, moment.month, moment.day) > last and not NOTHING_WAITS.intersection(steps):
            problems.append(
                Problem(
                    pointer(*steps),
                    f"{moment.isoformat()} is more than ten years after the campaign's `start`, {start.isoformat()}",
                    "check the year, here and of `start`",
                )
            )
    for section in ("resins", "colours", "pieces"):
        for name, bought in getattr(campaign, section).items():
            if bought.lead_days is not None and bought.lead_days > LONGEST_LEAD_DAYS:
                problems.append(
                    Problem(
                        pointer(section, name, "lead_days"),
                        f"`{name}` takes {bought.lead_days} days from order to door, more than ten years",
                        "give calendar days from order to door",
                    )
                )
    return problems


def _openings(campaign: Campaign) -> Iterator[tuple[Steps, date]]:
    """Days on which orders open, each once, with the first line that says so."""
    seen = set()
    for n, line in enumerate(campaign.orders):
        if line.opens is not None and line.opens not in seen:
            seen.add(line.opens)
            yield ("orders", n, "opens"), line.opens


def _dates(value: object, steps: Steps) -> Iterator[tuple[Steps, date]]:
    """Every date and moment in a document, orders left aside (`_openings`)."""
    if isinstance(value, date | datetime):
        yield steps, value
    elif isinstance(value, BaseModel):
        for field, name in _fields_with_dates(type(value)):
            if within := getattr(value, field):  # most say nothing, and hold no date
                yield from _dates(within, (*steps, name))
    elif isinstance(value, dict):
        for key, item in value.items():
            if isinstance(key, date):
                yield (*steps, key.isoformat()), key
            else:
                yield from _dates(item, (*steps, key))
    elif isinstance(value, list | tuple):
        for n, item in enumerate(value):
            yield from _dates(item, (*steps, n))


@cache
def _fields_with_dates(model: type[BaseModel]) -> tuple[tuple[str, str], ...]:
    """(field, its name in the document) of those that may hold a date, however deep: most hold none."""
    return tuple(
        (field, info.alias or field)
        for field, info in model.model_fields.items()
        if field != "orders" and _may_hold_a_date(info.annotation, frozenset({model}))
    )


def _may_hold_a_date(annotation: object, inside: frozenset[type]) -> bool:
    """By its type. inside: models being looked at; one that holds itself is looked through."""
    if annotation in (Any, object):
        return True
    if isinstance(annotation, type) and not get_args(annotation):
        if issubclass(annotation, BaseModel):
            return annotation in inside or any(
                _may_hold_a_date(info.annotation, inside | {annotation}) for info in annotation.model_fields.values()
            )
        return issubclass(annotation, date)
    return any(_may_hold_a_date(argument, inside) for argument in get_args(annotation))
