"""What if: the slip table, variants planned beside the plan, and two plans compared."""

import json
from datetime import datetime, timedelta
from typing import Annotated, Any

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.pages.door import PageMaker, PageReader, PageRoute
from api.pages.dress import page
from api.pages.inside import Answered, ask
from api.pictures.source import Published, find_published
from api.plans.finding import PlanId
from api.service import TheService
from planner.slips.document import Comparison

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)
Text = Annotated[str, Form(max_length=60)]


@router.get("/{plan_id}/what-if")
async def what_if(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageReader,
    only: Annotated[str, Query(max_length=60, description="a tool or piece; `all`: every one")] = "",
) -> Response:
    """The controls, the variants there are, and the slip table once it is asked for."""
    shown = find_published(service, caller.workshop_id, plan_id)
    rows, fault = await _table(request, plan_id, only) if only else ([], "")
    return await _shown(request, shown, only, rows, fault, {})


@router.post("/{plan_id}/what-if")
async def variant(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    change: Text = "",
    name: Text = "",
    days: Text = "",
    hours: Text = "",
) -> Response:
    """Plans a variant: a tool late, or a Saturday shift."""
    shown = find_published(service, caller.workshop_id, plan_id)
    campaign, problems = shown.campaign, {}
    patch: dict[str, Any] = {}
    title = ""
    if change == "tool" and name in campaign.tools:
        if not days.strip().isdecimal() or not 0 < int(days) <= 365:
            problems["days"] = f"{days!r} is not a number of days from 1 to 365"
        else:
            ready = campaign.tools[name].ready or campaign.start
            first = ready.date() if isinstance(ready, datetime) else ready
            late = first + timedelta(days=int(days))
            patch = {"tools": {name: {"ready": late.isoformat()}}}
            title = f"{name} {int(days)} days later"
    elif change == "saturday" and name in campaign.presses:
        patch = {"presses": {name: {"hours": _with_saturday(campaign.presses[name].hours, hours.strip())}}}
        title = f"{name} on Saturdays {hours.strip()}"
    else:
        problems["name"] = "choose what changes"
    if not problems:
        try:
            body = {"variants": [{"title": f"{shown.row.title}: {title}"[:200], "patch": patch}]}
            made = (await ask(request, "POST", f"/v1/plans/{plan_id}/variants", body)).json()
            return RedirectResponse(f"/plans/{made['plans'][0]['id']}", 303)
        except Answered as refused:
            told = "; ".join(f"{p.message}; {p.remedy}" for p in refused.problems) or refused.detail
            problems["hours" if change == "saturday" else "days"] = told
    typed = {"change": change, "name": name, "days": days, "hours": hours} | {
        f"{k}-problem": v for k, v in problems.items()
    }
    return await _shown(request, shown, "", [], "", typed, 422)


@router.get("/{plan_id}/compared")
async def compared(plan_id: PlanId, request: Request, service: TheService, caller: PageReader) -> Response:
    """This plan beside the one it was made from."""
    shown = find_published(service, caller.workshop_id, plan_id)
    answer = await ask(request, "GET", f"/v1/plans/{plan_id}/comparison")
    said = Comparison.model_validate_json(answer.content)
    return page("compared.html", here="what-if", row=shown.row, plan=shown.plan, said=said)


async def _shown(
    request: Request,
    shown: Published,
    only: str,
    rows: list[dict[str, Any]],
    fault: str,
    typed: dict[str, str],
    status: int = 200,
) -> Response:
    children = (await ask(request, "GET", f"/v1/plans?parent={shown.row.id}")).json()["plans"]
    campaign = shown.campaign
    return page(
        "what_if.html",
        status,
        here="what-if",
        row=shown.row,
        plan=shown.plan,
        campaign=campaign,
        things=[
            *campaign.tools,
            *(name for name, piece in campaign.pieces.items() if piece.arrivals or piece.lead_days),
        ],
        only=only,
        rows=rows,
        fault=fault,
        typed=typed,
        children=children,
    )


async def _table(request: Request, plan_id: str, only: str) -> tuple[list[dict[str, Any]], str]:
    """The slip table's rows with their cells, worst first; and what failed."""
    question = {} if only == "all" else {"only": [only]}
    answer = await ask(request, "POST", f"/v1/plans/{plan_id}/slip-table", question, "application/x-ndjson")
    cells: dict[tuple[str, str], list[dict[str, Any]]] = {}
    rows: dict[tuple[str, str], dict[str, Any]] = {}
    order, fault = [], ""
    for line in answer.text.splitlines():
        [(kind, value)] = json.loads(line).items()
        if kind == "cell":
            cells.setdefault((value["kind"], value["name"]), []).append(value)
        elif kind == "row":
            rows[value["kind"], value["name"]] = value
        elif kind == "table":
            order = [(one["kind"], one["name"]) for one in value]
        elif kind == "fault":
            fault = value["detail"]
    for key, row in rows.items():
        by_days: dict[int, list[dict[str, Any]]] = {}
        for cell in sorted(cells.get(key, []), key=lambda c: (c["days"], c["policy"])):
            cell["worst"] = max((tier["days"] for tier in cell["tiers"]), default=0)
            by_days.setdefault(cell["days"], []).append(cell)
        row["slips"] = by_days
    return [rows[key] for key in order if key in rows] or list(rows.values()), fault


def _with_saturday(hours: dict[str, str], saturday: str) -> dict[str, str | None]:
    """The week with that Saturday; a range that holds Saturday is cut (as a JSON Merge Patch: null takes out)."""
    changed: dict[str, str | None] = {"sat": saturday or "06:00-14:00"}
    for key, text in hours.items():
        first, _, last = key.partition("-")
        if last in {"sat", "sun"} and key != "sat":
            changed[key] = None
            changed[f"{first}-fri"] = text
            if last == "sun":
                changed["sun"] = text
    return changed
