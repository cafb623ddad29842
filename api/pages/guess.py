"""What the planner would guess where the maker has not said what is unsure: shown, changed, and planned with."""

from itertools import groupby
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from fastapi.responses import RedirectResponse
from starlette.datastructures import FormData

from api.http.forms import FORM_BYTES, form_of
from api.pages import form_rows, spreads
from api.pages.api_client import Answered, ask
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.form_document import doubts
from api.pages.form_fields import BY_NAME
from api.pages.form_filled import filled_from
from api.pages.form_made import Made
from api.pages.form_rows import Filled
from api.pages.spreads import POINTS, SpreadRow
from api.pages.templating import of_plan, page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.services import plans
from api.services.published import Published, find_published
from planner.campaign import Campaign
from planner.campaign.common_case import common_case, uncertainty_of

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Row = dict[str, str]


@router.get("/{plan_id}/guess")
def guess(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """A row for each tool that is not there yet, in the maker's words; below it what else is taken."""
    shown = find_published(service, caller.workshop_id, plan_id)
    others = _spreads(_as_sent(service, caller.workshop_id, plan_id))
    return _shown(shown, _rows(shown.campaign), others, {})


@router.post("/{plan_id}/guess")
def reckon_with(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    form: Annotated[FormData, Depends(form_of(FORM_BYTES, 20_000))],
) -> Response:
    """Plans a variant that reckons with the rows, and with what is usual for all else."""
    shown = find_published(service, caller.workshop_id, plan_id)
    typed = {name: value for name, value in form.items() if isinstance(value, str)}
    filled = form_rows.read(typed)
    sent = _as_sent(service, caller.workshop_id, plan_id)
    unsure, problems = _said(sent, filled)
    problems |= spreads.read(typed, _spreads(sent), unsure, sent.currency)
    if not problems:
        title = f"{shown.row.title}: reckoned with what is unsure"
        wish = {"variants": [{"title": title[:200], "patch": [{"op": "add", "path": "/uncertainty", "value": unsure}]}]}
        try:
            answer = ask(request, "POST", f"/v1/plans/{plan_id}/variants", wish).json()
            return RedirectResponse(f"/plans/{answer['plans'][0]['id']}", 303)
        except Answered as refused:
            problems[""] = refused.told
    return _shown(shown, filled.rows["unsure"], _spreads(sent), problems, 422, typed)


def _as_sent(service: Service, workshop_id: str, plan_id: str) -> Campaign:
    """The campaign without what reading adds to it."""
    return Campaign.model_validate_json(plans.campaign_text(service, workshop_id, plan_id))


def _said(campaign: Campaign, filled: Filled) -> tuple[dict[str, Any], dict[str, str]]:
    """What is unsure as a document: what the campaign, as it was sent, says or what is usual, with the rows on top."""
    document = campaign.model_dump(mode="json", by_alias=True, exclude_unset=True)
    made = Made({"tools": document["tools"]})
    doubts(made, filled)
    unsure: dict[str, Any] = uncertainty_of(campaign)[0].model_dump(mode="json", exclude_none=True)
    for tool, row in made.document.get("uncertainty", {}).get("tools", {}).items():
        unsure.setdefault("tools", {})[tool] = unsure.get("tools", {}).get(tool, {}) | row
    return unsure, {name: "; ".join(m for n, m in made.problems if n == name) for name, _ in made.problems}


def _rows(campaign: Campaign) -> list[Row]:
    """What the campaign says, or what is usual, of tools that are not there yet."""
    said = (
        campaign
        if campaign.uncertainty is not None
        else campaign.model_copy(update={"uncertainty": common_case(campaign)})
    )
    document = said.model_dump(mode="json", by_alias=True, exclude_none=True)
    rows = filled_from(document | {"orders": []}).rows["unsure"]
    return [row for row in rows if campaign.tools.get(row["tool"]) and campaign.tools[row["tool"]].to_come] or rows[:1]


def _spreads(campaign: Campaign) -> list[SpreadRow]:
    """What else may turn out otherwise, as the campaign says or as is usual."""
    said, usual = uncertainty_of(campaign)[0], common_case(campaign)
    return spreads.rows_of(
        said.model_dump(mode="json", exclude_none=True), usual.model_dump(mode="json", exclude_none=True)
    )


def _shown(
    shown: Published,
    rows: list[Row],
    others: list[SpreadRow],
    problems: dict[str, str],
    status: int = 200,
    sent: Row | None = None,
) -> Response:
    section = BY_NAME["unsure"]
    typed = {f"unsure.{n}.{name}": text for n, row in enumerate(rows) for name, text in row.items()}
    typed |= {f"{one.name}.{point}": text for one in others for point, text in zip(POINTS, one.cells, strict=True)}
    return page(
        "guess.html",
        status,
        here="promises",
        leaf="guess",
        **of_plan(shown),
        guessed=shown.campaign.uncertainty is None,
        groups=[(group, list(found)) for group, found in groupby(others, key=lambda one: one.group)],
        points=list(zip(POINTS, ("At least", "Most likely", "At most"), strict=True)),
        section=section,
        rows=rows,
        typed=typed | (sent or {}),
        problems=problems,
    )
