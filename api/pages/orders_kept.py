"""What is kept of somebody's orders: shown, given out as a file, erased on request."""

from collections.abc import Sequence
from typing import Any

from fastapi import APIRouter, Response

from api.documents.kept import FILE, Kept
from api.http.forms import SentForm
from api.pages.auth import PageMaker, PageReader, PageRoute
from api.pages.templating import page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.service.refusals import Conflict, Invalid, NotFound
from api.services import erasure, plans

router = APIRouter(prefix="/plans", route_class=PageRoute, include_in_schema=False)


@router.get("/{plan_id}/orders/kept")
def kept_page(plan_id: PlanId, service: TheService, caller: PageReader) -> Response:
    """Asks for the numbers."""
    return _shown(service, caller.workshop_id, plan_id, [])


@router.post("/{plan_id}/orders/kept")
def kept_or_erased(plan_id: PlanId, service: TheService, caller: PageMaker, form: SentForm) -> Response:
    """Shows what there is, gives it as a file, or erases it, as the button says."""
    numbers = str(form.get("numbers", "")).replace(",", "\n").splitlines()
    asked = form.get("do")
    try:
        if asked == "erase" and form.get("sure") == "yes":
            kept, names = erasure.erase(service, caller.workshop_id, plan_id, numbers)
            return _shown(service, caller.workshop_id, plan_id, [], erased=names, look=kept.not_looked_for)
        kept = erasure.kept_of(service, caller.workshop_id, plan_id, numbers)
    except Invalid as refused:
        return _shown(service, caller.workshop_id, plan_id, numbers, problem=refused.problems[0].remedy, status=422)
    except (Conflict, NotFound) as refused:
        return _shown(service, caller.workshop_id, plan_id, numbers, problem=refused.detail, status=refused.status)
    if asked == "file":
        headers = {"Content-Disposition": f'attachment; filename="{FILE}"'}
        return Response(Kept.of(kept).model_dump_json(indent=2), 200, headers, "application/json")
    problem = "Tick that you are sure: the numbers cannot be brought back." if asked == "erase" else ""
    return _shown(service, caller.workshop_id, plan_id, numbers, problem, 422 if problem else 200, kept=kept)


def _shown(
    service: Service,
    workshop_id: str,
    plan_id: str,
    numbers: Sequence[str],
    problem: str = "",
    status: int = 200,
    **more: Any,
) -> Response:
    what = {"kept": None, "erased": [], "look": [], **more}
    title = plans.standing(service, workshop_id, plan_id)[0].title
    return page(
        "orders_kept.html", status, plan_id=plan_id, title=title, numbers="\n".join(numbers), problem=problem, **what
    )
