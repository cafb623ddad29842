"""The update for supporters: made from the records, written anew by the maker, kept as a draft, sent, shown later."""

import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends, Query, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.http.access import Caller
from api.http.forms import form_of
from api.languages import LANGUAGES
from api.languages.reading import now_reading
from api.languages.sentences import in_language
from api.pages import drafting
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.study import begin, standing
from api.pages.templating import of_plan, page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.services import drafts, updates
from api.services.drafts import Overtaken
from api.services.published import Published, find_published
from api.services.standing_promise import how_sure
from planner.promise.document import CONFIDENCE
from planner.promise.update import Update
from planner.promise.update_text import markdown
from worker.records.drafts import DraftRow, Place
from worker.records.statuses import OPEN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
LONGEST_WORDS, LONGEST_TEXT = 10_000, 50_000
UpdateForm = Annotated[FormData, Depends(form_of())]
Said = Annotated[str, Query(max_length=20)]
SAID = {"kept": "Draft kept.", "sent": "Kept as sent. The next update is measured against it."}


@dataclass(frozen=True)
class Typed:
    """The form as it stands. words: what the maker adds, a thing a line. text: the draft's; "" before there is one.
    made: the update the text was written from. revision: of the plan, then. language: of the draft; "": the maker's."""

    words: str = ""
    confidence: float = CONFIDENCE
    text: str = ""
    made: dict[str, Any] | None = None
    revision: int = 0
    language: str = ""

    @property
    def content(self) -> dict[str, Any]:
        """As it is kept."""
        return {"words": self.words, "confidence": self.confidence, "text": self.text, "made": self.made,
                "revision": self.revision, "language": self.language}  # fmt: skip


@router.get("/{plan_id}/update")
def update_page(
    plan_id: PlanId, request: Request, service: TheService, caller: PageReader, said: Said = ""
) -> Response:
    """What was sent before; the draft, if there is one; what to add in own words."""
    shown = find_published(service, caller.workshop_id, plan_id)
    found = drafts.at(service, Place(caller.workshop_id, "update", plan_id))
    row = found[0] if found else None
    picked = how_sure(service, caller.workshop_id, plan_id, shown.revision).share
    typed = Typed(**row.content) if row is not None else Typed(confidence=picked)
    return _shown((request, caller), shown, typed, row, said=SAID.get(said, ""))


@router.post("/{plan_id}/update")
def update(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker, form: UpdateForm) -> Response:
    """Keeps what was typed; writes it from the records, once the dates are simulated; or records it as sent."""
    shown = find_published(service, caller.workshop_id, plan_id)
    place, asked = Place(caller.workshop_id, "update", plan_id), str(form.get("do", "draft"))
    known = _known(service, place, form)
    typed = _typed(form, known)
    if drafting.by_script(request):
        return drafting.kept_by_script(request, place, form, typed.content)
    if asked == "put-away":
        if known is not None:
            drafts.put_away(service, caller.workshop_id, known.id)
        return RedirectResponse(f"/plans/{plan_id}/update", 303)
    if asked == "draft":
        study = standing(
            request, plan_id, "promise", begin(request, plan_id, "promise", {"confidence": typed.confidence})
        )
        if study is not None and study["status"] == "done":
            try:
                typed = _written(request, shown, typed)
            except Answered as refused:
                return _shown((request, caller), shown, typed, known, problem=refused.told)
    if asked == "send" and (typed.made is None or not typed.text.strip()):
        return _shown((request, caller), shown, typed, known, problem="Write a draft first: there is nothing to send.")
    try:
        row = drafts.keep(service, place, drafting.seen_in(form), typed.content)
    except Overtaken as overtaken:
        theirs = str(overtaken.now.content.get("text", "")) if overtaken.now else ""
        return _shown(
            (request, caller), shown, typed, overtaken.now, problem=drafting.told(overtaken), theirs=theirs, status=409
        )
    if asked == "send":
        made = Update.model_validate(typed.made)
        own = "" if typed.text == markdown(made) else typed.text
        updates.keep(service, caller.workshop_id, plan_id, made.model_copy(update={"text": own}))
        drafts.put_away(service, caller.workshop_id, row.id)
        return RedirectResponse(f"/plans/{plan_id}/update?said=sent", 303)
    # Seen by its own address, so that reloading it sends nothing twice.
    return RedirectResponse(f"/plans/{plan_id}/update" + ("?said=kept" if asked == "save" else ""), 303)


def _written(request: Request, shown: Published, typed: Typed) -> Typed:
    """The text anew from the records and the simulated dates."""
    wish = {
        "changes": [line.strip()[:500] for line in typed.words.splitlines() if line.strip()][:50],
        "keep": False,
        "confidence": typed.confidence,
        "as_of": max(datetime.now(ZoneInfo(shown.plan.time_zone)).date(), shown.plan.start.date()).isoformat(),
    }
    made = ask(request, "POST", f"/v1/plans/{shown.row.id}/update", wish).json()
    text = in_language(markdown(Update.model_validate(made)), typed.language or now_reading().language)
    return Typed(typed.words, typed.confidence, text, made, shown.revision, typed.language)


def _known(service: Service, place: Place, form: Mapping[str, Any]) -> DraftRow | None:
    seen = drafting.seen_in(form)
    return next((row for row in drafts.at(service, place) if seen is not None and row.id == seen[0]), None)


def _typed(form: Mapping[str, Any], known: DraftRow | None) -> Typed:
    """What the form holds; the update it was written from is not in it and stays as it was."""
    before = Typed(**known.content) if known is not None else Typed()
    try:
        confidence = min(0.99, max(0.5, float(str(form.get("confidence", CONFIDENCE)))))
    except ValueError:
        confidence = CONFIDENCE
    words, text = (str(form.get(name, "")).replace("\r\n", "\n") for name in ("words", "text"))
    language = str(form.get("tongue", ""))
    language = language if language in LANGUAGES else ""
    return Typed(words[:LONGEST_WORDS], confidence, text[:LONGEST_TEXT], before.made, before.revision, language)


def _shown(
    asked: tuple[Request, Caller],
    shown: Published,
    typed: Typed,
    draft: DraftRow | None,
    said: str = "",
    problem: str = "",
    **more: Any,
) -> Response:
    """more: theirs, another's text of the same draft; status."""
    request, caller = asked
    study = standing(request, shown.row.id, "promise", None, shown.revision)
    kept = updates.sent(request.app.state.service, caller.workshop_id, shown.row.id)
    return page(
        "update.html",
        more.pop("status", 422 if problem else 200),
        here="update",
        **of_plan(shown),
        study=study,
        waits=study is not None and study["status"] in OPEN,
        confidence=typed.confidence,
        typed=typed,
        draft=draft,
        draft_kept=drafting.kept_at(draft, time.time()) if draft is not None else "",
        older=bool(typed.text) and typed.revision != shown.revision,
        revision=shown.revision,
        said=said,
        problem=problem,
        theirs=more.pop("theirs", ""),
        sent=[
            (one, datetime.fromtimestamp(one.at, ZoneInfo(shown.plan.time_zone)), markdown(one.update)) for one in kept
        ],
    )
