"""Dates with how sure they are, and the update for supporters: asked of the API when somebody wants them."""

from datetime import date
from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, Response

from api.pages.door import PageMaker, PageReader, PageRoute
from api.pages.dress import drawn, page
from api.pages.inside import ask
from api.pictures.dispatches import Sure, dispatch_svg
from api.pictures.source import find_published
from api.plans.finding import PlanId
from api.problems import Unavailable
from api.service import TheService
from planner.promise.document import Promise

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)


@router.get("/{plan_id}/promises")
async def promises(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    confidence: Annotated[float, Query(ge=0.5, le=0.99)] = 0,
) -> Response:
    """The question, and once it is asked the dates."""
    shown = find_published(service, caller.workshop_id, plan_id)
    said, picture = None, ""
    if confidence:
        answer = await ask(request, "POST", f"/v1/plans/{plan_id}/promise", {"confidence": confidence})
        if answer.status_code == 202:
            raise Unavailable("The floors are still being simulated; load this page again in a moment.")
        said = Promise.model_validate_json(answer.content)
        sure = {
            tier.tier: Sure(tier.dates.p50, tier.dates.p80, tier.dates.p95)
            for tier in said.tiers
            if tier.dates.p50 and tier.dates.p80 and tier.dates.p95
        }
        picture = drawn(dispatch_svg(shown.plan, None, sure))
    return page(
        "promises.html", here="promises", row=shown.row, plan=shown.plan, said=said, picture=picture,
        confidence=confidence or 0.8,
    )  # fmt: skip


@router.get("/{plan_id}/update")
def update_page(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """What to add in own words."""
    shown = find_published(service, caller.workshop_id, plan_id)
    return page("update.html", here="update", row=shown.row, plan=shown.plan, words="", text="", kept=False)


@router.post("/{plan_id}/update")
async def update(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    words: Annotated[str, Form(max_length=10_000)] = "",
    do: Annotated[str, Form(max_length=10)] = "draft",
) -> Response:
    """The text to send, as a draft or kept so that the next one can say what changed."""
    shown = find_published(service, caller.workshop_id, plan_id)
    wish = {
        "changes": [line.strip()[:500] for line in words.splitlines() if line.strip()][:50],
        "keep": do == "keep",
        "as_of": date.today().isoformat(),
    }
    answer = await ask(request, "POST", f"/v1/plans/{plan_id}/update", wish, "text/markdown")
    return page(
        "update.html", here="update", row=shown.row, plan=shown.plan, words=words, text=answer.text, kept=do == "keep"
    )
