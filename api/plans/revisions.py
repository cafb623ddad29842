"""/v1/plans/{id}/revisions: every run plan that was published for a plan."""

from dataclasses import asdict
from typing import Annotated

from fastapi import APIRouter, Path, Response

from api.http.access import REFUSALS, Reader
from api.http.moments import moment
from api.http.problems import answers
from api.plans.parameters import PlanId
from api.plans.schemas import RevisionList, RevisionState
from api.service import TheService
from api.service.refusals import Invalid, NotFound
from api.services import plans
from planner.plan import RunPlan

router = APIRouter(prefix="/v1/plans", tags=["plans"], responses=answers(*REFUSALS))


@router.get(
    "/{plan_id}/revisions",
    response_model=RevisionList,
    summary="List revisions",
    responses=answers(NotFound, Invalid),
)
def list_revisions(plan_id: PlanId, service: TheService, caller: Reader) -> RevisionList:
    """Oldest first, without the run plans themselves."""
    rows = plans.revisions(service, caller.workshop_id, plan_id)
    return RevisionList(revisions=[RevisionState(**asdict(row) | {"made_at": moment(row.made_at)}) for row in rows])


@router.get(
    "/{plan_id}/revisions/{number}",
    response_model=RunPlan,
    summary="Read a revision",
    responses=answers(NotFound, Invalid),
)
def read_revision(
    plan_id: PlanId, number: Annotated[int, Path(ge=1, le=1_000_000)], service: TheService, caller: Reader
) -> Response:
    """The run plan as it was published."""
    return Response(plans.revision(service, caller.workshop_id, plan_id, number), media_type="application/json")
