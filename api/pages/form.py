"""The form that grows, as pages: rows come and go, each problem stands beside its field, then it is planned."""

import json
from typing import Annotated

from fastapi import APIRouter, Depends, Form, Query, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.demo import EXAMPLES
from api.http.forms import form_of
from api.pages import drafting, form_pasted, form_rows
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.doubtful import boxes, doubts, today
from api.pages.form_document import make
from api.pages.form_filled import filled_from
from api.pages.form_shown import LARGEST, SURE_OF, Problems, grown, listed, overtaken_said, shown_form, sure_of, tell
from api.pages.new_orders import asking, with_an_order
from api.pages.sending import checked, submitted
from api.pages.templating import page
from api.service import TheService
from api.service.refusals import Refused
from api.services import drafts
from api.services.drafts import Overtaken
from worker.records.drafts import Place
from worker.records.ids import PATTERN

router = APIRouter(prefix="/start", route_class=PageRoute, include_in_schema=False)
Example = Annotated[str, Query(max_length=60)]
DraftId = Annotated[str | None, Query(pattern=PATTERN)]


@router.get("/form")
def form_page(service: TheService, caller: PageReader, draft: DraftId = None, example: Example = "") -> Response:
    """Empty, with what is usual; or as somebody left it; or filled with an example to write over."""
    if draft is None and example in EXAMPLES:
        return shown_form(filled_from(EXAMPLES[example].beginning(today())), {}, "")
    if draft is None:
        return shown_form(form_rows.empty(today()), {}, "")
    row = drafts.find(service, caller.workshop_id, draft)
    return shown_form(form_rows.heard(row.content), {}, "", draft=row, again=True)


@router.post("/form")
def form(
    request: Request,
    service: TheService,
    caller: PageMaker,
    sent: Annotated[FormData, Depends(form_of(LARGEST, 20_000))],
) -> Response:
    """Adds or takes out a row, hands over the document, asks for the orders' spreadsheet, or plans; whatever is asked,
    what was typed is kept."""
    filled = form_rows.read({name: value for name, value in sent.items() if isinstance(value, str)})
    asked, _, about = str(sent.get("do", "plan")).partition("-")
    place = Place(caller.workshop_id, "form")
    if drafting.by_script(request):
        return drafting.kept_by_script(request, place, sent, form_rows.said(filled))
    pasted = form_pasted.taken(filled, sent) if asked == "paste" else None
    rows = (pasted.section, pasted.first) if pasted else grown(filled, asked, about)
    try:
        draft = drafts.keep(service, place, drafting.seen_in(sent), form_rows.said(filled))
    except Overtaken as overtaken:
        return shown_form(filled, {}, "", draft=overtaken.now, meanwhile=overtaken_said(filled, overtaken), status=409)
    if asked == "save":
        return RedirectResponse(f"/start/form?draft={draft.id}", 303)
    if rows is not None:
        return shown_form(filled, {}, "", *rows, draft=draft, pasted=pasted)
    made = make(filled)
    if asked == "document":
        text = json.dumps(made.document, indent=1, ensure_ascii=False)
        return page("document.html", text=text, problems=[], detail="", table=None)
    if asked == "orders":
        made.document = with_an_order(made.document)
    text = json.dumps(made.document, ensure_ascii=False)
    problems: Problems = {}
    for name, message in made.problems:
        problems.setdefault(name, []).append(message)
    try:
        if asked == "orders":
            read = checked(service, text.encode())
            if not problems:
                return asking(text, read.campaign)
        elif problems:
            checked(service, text.encode())
        elif asked_about := doubts(made, today(), sure_of(sent)):
            return shown_form(
                filled, listed(asked_about), SURE_OF, status=422, draft=draft, boxes=boxes(made, asked_about)
            )
        else:
            planned = submitted(service, caller.workshop_id, text.encode())
            drafts.put_away(service, caller.workshop_id, draft.id)
            return RedirectResponse(planned, 303)
    except Refused as refused:
        tell(refused, made, problems)
    detail = "The campaign cannot be planned as it is; what you typed is still here."
    return shown_form(filled, problems, detail, status=422, draft=draft)


@router.post("/form/put-away")
def put_away(service: TheService, caller: PageMaker, draft: Annotated[str, Form(max_length=100)]) -> Response:
    """Throws a draft away."""
    drafts.put_away(service, caller.workshop_id, draft)
    return RedirectResponse("/start", 303)
