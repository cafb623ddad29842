"""The form that grows, as pages: add rows, see each problem beside its field, plan."""

import json
from typing import Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import RedirectResponse

from api.pages import growing
from api.pages.door import PageMaker, PageReader, PageRoute
from api.pages.dress import page
from api.pages.form_fields import HEAD, SECTIONS
from api.pages.growing import Filled
from api.pages.starting import submitted
from api.problems import Refused
from api.service import TheService

router = APIRouter(prefix="/start", route_class=PageRoute, include_in_schema=False)


@router.get("/form")
def form_page(caller: PageReader) -> Response:
    """Empty, with what is usual."""
    return _shown(growing.empty(), {}, "")


@router.post("/form")
async def form(request: Request, service: TheService, caller: PageMaker) -> Response:
    """Adds a row, hands over the document, or plans."""
    sent = await request.form(max_fields=5000)
    filled = growing.read({name: value for name, value in sent.items() if isinstance(value, str)})
    asked = str(sent.get("do", "plan"))
    if asked.startswith("add-"):
        growing.grow(filled, asked.removeprefix("add-"))
        return _shown(filled, {}, "", asked.removeprefix("add-"))
    made = growing.make(filled)
    text = json.dumps(made.document, indent=1, ensure_ascii=False)
    if asked == "document":
        return page("document.html", text=text, problems=[], detail="")
    problems: dict[str, list[str]] = {}
    for name, message in made.problems:
        problems.setdefault(name, []).append(message)
    if not problems:
        try:
            return RedirectResponse(submitted(service, caller.workshop_id, text.encode()), 303)
        except Refused as refused:
            for one in refused.problems:
                message = one.message + (f"; {one.remedy}" if one.remedy else "")
                problems.setdefault(growing.field_of(made, one.pointer), []).append(message)
            if not refused.problems:
                problems[""] = [refused.detail]
    return _shown(
        filled, problems, "The campaign cannot be planned as it is; what you typed is still here.", status=422
    )


def _shown(filled: Filled, problems: dict[str, list[str]], detail: str, grown: str = "", status: int = 200) -> Response:
    shown: dict[str, Any] = {"filled": filled, "problems": problems, "detail": detail, "grown": grown}
    return page("form.html", status, head=HEAD, sections=SECTIONS, **shown)
