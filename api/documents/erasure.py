"""GET /v1/plans/{id}/orders/kept and POST /v1/plans/{id}/orders/erased: what is kept of somebody's orders, given out
as a file, and erased on request."""

from typing import Annotated

from anyio import to_thread
from fastapi import APIRouter, Query, Request, Response
from pydantic import BaseModel, Field, StringConstraints

from api.documents.kept import FILE, Kept
from api.http.access import REFUSALS, Reader, Submitter
from api.http.bodies import BODY_REFUSALS, fitting, json_body, read_json
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.service import TheService
from api.service.refusals import Conflict, Invalid, NotFound
from api.services import erasure
from api.services.erasure import LONGEST_NUMBER, MOST_NUMBERS

router = APIRouter(prefix="/v1/plans", tags=["orders"], responses=answers(*REFUSALS))


Number = Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_NUMBER)]


class OrderNumbers(BaseModel):
    """Whose orders they are is yours to find out: here only their numbers are known."""

    model_config = {"extra": "forbid"}
    orders: list[Number] = Field(min_length=1, max_length=MOST_NUMBERS)


class Erased(BaseModel):
    """What the orders go by now; what was ordered and what has left stays countable."""

    orders: list[str] = Field(description="the new numbers, in the order of those asked for")
    rows_forgotten: int = Field(description="rows set aside that went whole")
    look_yourself: list[str] = Field(
        description="numbers too short to be told from other figures; look through notes and updates yourself"
    )


@router.get(
    "/{plan_id}/orders/kept",
    response_model=Kept,
    summary="What is kept of somebody's orders",
    responses=answers(NotFound, Invalid),
)
def kept_orders(
    plan_id: PlanId,
    service: TheService,
    caller: Reader,
    order: Annotated[list[Number], Query(min_length=1, max_length=MOST_NUMBERS, description="an order's number")],
) -> Response:
    """A file to hand to whoever asks what you have of theirs; empty lists where nothing is kept."""
    kept = Kept.of(erasure.kept_of(service, caller.workshop_id, plan_id, order))
    headers = {"Content-Disposition": f'attachment; filename="{FILE}"'}
    return Response(kept.model_dump_json(indent=2), 200, headers, "application/json")


@router.post(
    "/{plan_id}/orders/erased",
    response_model=Erased,
    summary="Erase the numbers of somebody's orders",
    openapi_extra=json_body(OrderNumbers),
    responses=answers(NotFound, Conflict, *BODY_REFUSALS),
)
async def erase_orders(plan_id: PlanId, request: Request, service: TheService, caller: Submitter) -> Erased:
    """They go by other numbers in every document of the campaign, rows set aside go whole. A later table's row of the
    same order is known again, so that nothing is sent twice: a hash of the number is kept for that."""
    _, parsed = await read_json(request, 10_000, service.settings.deepest_body)
    wanted = await fitting(OrderNumbers, parsed)

    def erased() -> Erased:
        kept, names = erasure.erase(service, caller.workshop_id, plan_id, wanted.orders)
        return Erased(orders=names, rows_forgotten=len(kept.set_aside), look_yourself=kept.not_looked_for)

    return await to_thread.run_sync(erased)
