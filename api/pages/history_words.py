"""What was changed about a campaign, in the reader's words: fields under the names that the form has for them."""

import re

from api.languages import gettext
from api.pages.form_fields import BY_NAME, HEAD
from api.sentences import said

_CHANGED = re.compile(r"(changed|another plan): (.+)", re.DOTALL)
_PIECE = re.compile(r"(.+?): (.*), now (.*)", re.DOTALL)
_HEAD = {ask.name: ask.label for ask in HEAD}


def told(what: str) -> str:
    """`changed: tools, lid, cycle_s: 45, now 38` as `changed: Tools, lid, Cycle, s: 45, now 38`; names as typed."""
    found = _CHANGED.fullmatch(what)
    if found is None:
        return said(what)
    how = gettext("changed") if found[1] == "changed" else gettext("another plan")
    return f"{how}: {'; '.join(map(_piece, found[2].split('; ')))}"


def _piece(text: str) -> str:
    found = _PIECE.fullmatch(text)
    if found is None:
        return said(text)
    was, now = (
        said(value) if value in ("nothing", "another list", "other entries") else value for value in found.groups()[1:]
    )
    return gettext("%(what)s: %(before)s, now %(after)s") % {"what": _place(found[1]), "before": was, "after": now}


def _place(where: str) -> str:
    """`tools, lid, cycle_s` with the form's words for the section and the field, as far as it has them."""
    section, *rest = where.split(", ")
    if section not in BY_NAME:
        return ", ".join([said(_HEAD.get(section, section)), *rest])
    labels = {ask.name: ask.label for ask in BY_NAME[section].asks}
    return ", ".join([said(BY_NAME[section].title), *(said(labels[one]) if one in labels else one for one in rest)])
