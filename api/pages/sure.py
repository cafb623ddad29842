"""Dates with how sure they are, and the update for supporters: simulated by the workers when somebody wants them."""

from datetime import datetime
from typing import Annotated, Any
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.pages.api_client import ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.study import begin, standing
from api.pages.templating import drawn, page
from api.pictures.dispatches import dispatch_svg
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.published import Published, find_published
from api.services.standing_promise import sure_of
from planner.promise.document import Promise
from worker.records.ids import PATTERN
from worker.records.statuses import OPEN

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Confidence = Annotated[float, Form(ge=0.5, le=0.99)]
USUAL = 0.8


@router.get("/{plan_id}/promises")
def promises(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    study: Annotated[str | None, Query(pattern=PATTERN)] = None,
) -> Response:
    """The question, and once it is answered the dates."""
    shown = find_published(service, caller.workshop_id, plan_id)
    standing_ = standing(request, plan_id, "promise", study, shown.revision)
    said, picture = None, ""
    if standing_ and standing_["result"]:
        said = promised = Promise.model_validate(standing_["result"])
        picture = drawn(lambda: dispatch_svg(shown.plan, None, sure_of(promised), framed=True))
    return page(
        "promises.html",
        here="promises",
        row=shown.row,
        plan=shown.plan,
        study=standing_,
        waits=standing_ is not None and standing_["status"] in OPEN,
        said=said,
        picture=picture,
        confidence=standing_["question"]["confidence"] if standing_ else USUAL,
    )


@router.post("/{plan_id}/promises")
def simulate(plan_id: PlanId, request: Request, caller: PageMaker, confidence: Confidence = USUAL) -> Response:
    """Has the floors simulated."""
    study = begin(request, plan_id, "promise", {"confidence": confidence})
    return RedirectResponse(f"/plans/{plan_id}/promises?study={study}", 303)


@router.get("/{plan_id}/update")
def update_page(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """What to add in own words; whether the dates are simulated yet."""
    shown = find_published(service, caller.workshop_id, plan_id)
    return _update(shown, standing(request, plan_id, "promise", None, shown.revision), USUAL)


@router.post("/{plan_id}/update")
def update(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    words: Annotated[str, Form(max_length=10_000)] = "",
    do: Annotated[str, Form(max_length=10)] = "draft",
    confidence: Confidence = USUAL,
) -> Response:
    """The text to send, as a draft or kept so that the next one can say what changed.

    Its dates are simulated first: until they are there the page says so and keeps what was typed."""
    shown = find_published(service, caller.workshop_id, plan_id)
    study = standing(request, plan_id, "promise", begin(request, plan_id, "promise", {"confidence": confidence}))
    if study is None or study["status"] != "done":
        return _update(shown, study, confidence, words=words)
    wish = {
        "changes": [line.strip()[:500] for line in words.splitlines() if line.strip()][:50],
        "keep": do == "keep",
        "confidence": confidence,
        "as_of": max(datetime.now(ZoneInfo(shown.plan.time_zone)).date(), shown.plan.start.date()).isoformat(),
    }
    answer = ask(request, "POST", f"/v1/plans/{plan_id}/update", wish, "text/markdown")
    return _update(shown, study, confidence, words=words, text=answer.text, kept=do == "keep")


def _update(
    shown: Published,
    study: dict[str, Any] | None,
    confidence: float,
    words: str = "",
    text: str = "",
    kept: bool = False,
) -> Response:
    return page(
        "update.html",
        here="update",
        row=shown.row,
        plan=shown.plan,
        study=study,
        waits=study is not None and study["status"] in OPEN,
        confidence=confidence,
        words=words,
        text=text,
        kept=kept,
    )
