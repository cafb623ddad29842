"""Drafts on pages: what a form holds is kept as typed, by its buttons and, with script, while it is typed.

The form carries its draft's id and edition. Where somebody else changed the draft meanwhile, theirs is shown beside
one's own, which then goes on top of theirs: nobody's words are lost.
"""

from collections.abc import Mapping
from typing import Any

from fastapi import Request, Response
from fastapi.responses import JSONResponse

from api.languages import gettext, wording
from api.languages.sentences import said
from api.services import drafts
from api.services.drafts import Overtaken
from worker.records.drafts import DraftRow, Place

BY_SCRIPT = "x-draft"
"""A header of the script that keeps drafts: it is answered without a page."""


def seen_in(form: Mapping[str, Any]) -> tuple[str, int] | None:
    """Which draft a form was filled from, in which edition; None: from none."""
    draft_id, edition = str(form.get("draft", "")), str(form.get("edition", ""))
    return (draft_id, int(edition)) if draft_id and edition.isdecimal() and len(edition) < 9 else None


def by_script(request: Request) -> bool:
    """Whether the script asks, which wants no page."""
    return BY_SCRIPT in request.headers


def kept_by_script(request: Request, place: Place, form: Mapping[str, Any], content: dict[str, Any]) -> Response:
    """Keeps what was typed and says in which edition; 409 with who was faster where somebody was."""
    try:
        row = drafts.keep(request.app.state.service, place, seen_in(form), content)
    except Overtaken as overtaken:
        return JSONResponse({"told": said(told(overtaken))}, 409)
    return JSONResponse({"draft": row.id, "edition": row.edition})


def told(overtaken: Overtaken) -> str:
    """What to say of a draft that somebody else changed or sent off."""
    if overtaken.now is None:
        return "Somebody sent this draft off or put it away meanwhile. What you typed is still here."
    return f"{overtaken.now.changed_by} changed this draft meanwhile. What you typed is still here, theirs is below it."


def kept_at(row: DraftRow, now: float) -> str:
    """`Kept 3 min ago by press hall.`."""
    ago = now - row.changed_at
    if ago < 60:
        return gettext("Kept just now by %(who)s.") % {"who": row.changed_by}
    return gettext("Kept %(time)s ago by %(who)s.") % {"time": wording.duration(ago), "who": row.changed_by}
