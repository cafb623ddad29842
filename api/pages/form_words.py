"""Fields of a campaign under the names that the form has for them: in its history, in what others changed meanwhile,
and in what is wrong with it."""

import re
from collections.abc import Mapping
from typing import Any

from api.languages import gettext
from api.languages.sentences import said
from api.pages.form_fields import BY_NAME, HEAD
from planner.campaign.differences import differences_said

_CHANGED = re.compile(r"(changed|another plan): (.+)", re.DOTALL)
_PIECE = re.compile(r"(.+?): (.*), now (.*)", re.DOTALL)
_QUOTED = re.compile(r"`(\w+)`")
_HEAD = {ask.name: ask.label for ask in HEAD}
_PLANNING = {
    "seconds": "seconds to plan in",
    "rounds": "rounds to plan in",
    "aim": "aim",
    "kg_per_day": "kg that a day sooner may cost",
    "gap": "ends where so much could still be saved",
}
"""What the form does not ask: how the plan is made."""
_AIMED = {"waste": "least purge waste", "cost": "least cost", "soonest": "soonest finished"}


def told(what: str) -> str:
    """`changed: tools, lid, cycle_s: 45, now 38` as `changed: Tools, lid, Cycle, s: 45, now 38`; names as typed."""
    found = _CHANGED.fullmatch(what)
    if found is None:
        return said(what)
    how = gettext("changed") if found[1] == "changed" else gettext("another plan")
    return f"{how}: {'; '.join(map(_piece, found[2].split('; ')))}"


def between(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """What is not the same in two campaign documents, a line each, in the form's words."""
    return [_piece(one) for one in differences_said(before, after).split("; ") if one]


def labelled(text: str, field_name: str) -> str:
    """A sentence about a field of the form, told already, with what it names of the same section under its label:
    `lead_days` beside `resins.0.lead_days` is “Days from order to door”."""
    section = BY_NAME.get(field_name.partition(".")[0])
    labels = {} if section is None else {ask.name: ask.label for ask in section.asks}
    return _QUOTED.sub(lambda found: f"“{said(labels[found[1]])}”" if found[1] in labels else found[0], text)


def place(pointer: str) -> str:
    """Where a JSON Pointer leads, in the form's words: `/tools/lid/cycle_s` is `Tools, lid, Cycle, s`."""
    return _place(", ".join(step.replace("~1", "/").replace("~0", "~") for step in pointer.split("/")[1:]))


def _piece(text: str) -> str:
    found = _PIECE.fullmatch(text)
    if found is None:
        return said(text)
    was, now = (
        said(value) if value in ("nothing", "another list", "other entries") else value
        for value in (_AIMED.get(one, one) if found[1] == "planning, aim" else one for one in found.groups()[1:])
    )
    return gettext("%(what)s: %(before)s, now %(after)s") % {"what": _place(found[1]), "before": was, "after": now}


def _place(where: str) -> str:
    """`tools, lid, cycle_s` with the form's words for the section and the field, as far as it has them."""
    section, *rest = where.split(", ")
    if section == "planning":
        return ", ".join([gettext("planning"), *(said(_PLANNING.get(one, one)) for one in rest)])
    if section not in BY_NAME:
        return ", ".join([said(_HEAD.get(section, section)), *rest])
    labels = {ask.name: ask.label for ask in BY_NAME[section].asks}
    return ", ".join([said(BY_NAME[section].title), *(said(labels[one]) if one in labels else one for one in rest)])
