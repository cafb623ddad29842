"""Starting a plan: the demo, or a campaign document of one's own, mended on the page until it can be planned."""

import json
import time
from datetime import date
from typing import Annotated

from fastapi import APIRouter, File, Form, Query, Response, UploadFile
from fastapi.responses import RedirectResponse

from api.demo import DEMO, EXAMPLES, Example
from api.languages import gettext
from api.pages import drafting
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.sending import document_again, submitted
from api.pages.source_lines import with_lines
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import NotFound, Refused, TooLarge
from api.services import drafts, plans
from worker.records.drafts import DraftRow, Place

router = APIRouter(prefix="/start", route_class=PageRoute, include_in_schema=False)


@router.get("")
def ways(service: TheService, caller: PageReader) -> Response:
    """What one can start from, and go on with."""
    now = time.time()
    begun = [
        (
            row,
            str(row.content.get("head", {}).get("name", "")) or gettext("Without a name yet"),
            drafting.kept_at(row, now),
        )
        for row in drafts.at(service, Place(caller.workshop_id, "form"))
    ]
    return page("start.html", begun=begun, examples=_by_title())


def _by_title() -> list[Example]:
    """As somebody looks for one: the plainest first, then by what they are called."""
    plainest, *others = EXAMPLES.values()
    return [plainest, *sorted(others, key=lambda one: one.title.casefold())]


def _name_of(draft: DraftRow) -> str:
    return str(draft.content.get("head", {}).get("name", ""))


@router.post("/demo")
def demo(service: TheService, caller: PageMaker) -> Response:
    """Plans the demo campaign."""
    return RedirectResponse(submitted(service, caller.workshop_id, DEMO.read_bytes()), 303)


@router.post("/example")
def example(service: TheService, caller: PageMaker, name: Annotated[str, Form(max_length=60)]) -> Response:
    """Plans an example, brought to now, to look at and to change."""
    if name not in EXAMPLES:
        raise NotFound("There is no such example.")
    document = json.dumps(EXAMPLES[name].beginning(date.today()), ensure_ascii=False).encode()
    return RedirectResponse(submitted(service, caller.workshop_id, document), 303)


@router.get("/document")
def document_page(service: TheService, caller: PageReader, plan: Annotated[PlanId | None, Query()] = None) -> Response:
    """A campaign document to write or to mend: empty, or that of a plan."""
    text = ""
    if plan is not None:
        text = plans.campaign_text(service, caller.workshop_id, plan)
    return page("document.html", text=text, problems=[], detail="", table=None)


@router.post("/document")
def document(
    service: TheService,
    caller: PageMaker,
    file: Annotated[UploadFile | None, File()] = None,
    text: Annotated[str, Form()] = "",
) -> Response:
    """Plans the document; if it cannot be planned, shows it again with every problem and the line it is on."""
    largest = service.settings.largest_body_bytes
    body = file.file.read(largest + 1) if file is not None and file.filename else text.encode()
    try:
        if len(body) > largest:
            raise TooLarge(f"At most {largest} bytes are taken here.")
        return RedirectResponse(submitted(service, caller.workshop_id, body), 303)
    except Refused as refused:
        told = with_lines(body.decode(errors="replace"), refused.problems)
        return document_again(body, refused, told)
