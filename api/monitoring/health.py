"""Whether the service lives, and whether it can do everything it is there for."""

from typing import Literal

from fastapi import APIRouter, Response
from pydantic import BaseModel, Field

from api.service import TheService
from api.services import health

router = APIRouter(tags=["health"])


class Live(BaseModel):
    status: Literal["live"] = "live"


class Ready(BaseModel):
    """Each is needed for the next: records, then the queue, then workers that were heard of lately."""

    ready: bool
    records: bool = Field(description="reads work")
    writes: bool = Field(description="submissions work too")
    queue: bool = Field(description="submitted plans reach a worker")
    workers: int | None = Field(description="worker processes there; null: not known")
    waiting: int | None = Field(description="plans that wait")
    running: int | None = Field(description="plans being made")
    core_wait: float | None = Field(
        description="of the time that the plans of the last ten minutes took, the share they waited for a free core; "
        "above a quarter the machines have too few cores for their workers; null: none was made, or not known"
    )


@router.get("/v1/live", response_model=Live, summary="Is the process alive?")
async def live() -> Live:
    """Says nothing about anything else."""
    return Live()


@router.get(
    "/v1/ready",
    response_model=Ready,
    summary="Is everything there?",
    responses={503: {"model": Ready, "description": "something is missing"}},
)
def ready(service: TheService, response: Response) -> Ready:
    """Without the queue, reads work and submissions are accepted and wait; ready is false all the same."""
    now = health.look(service)
    response.status_code = 200 if now.everything else 503
    response.headers["Cache-Control"] = "no-store"
    return Ready(
        ready=now.everything,
        records=now.counts is not None,
        writes=now.writes,
        queue=now.queue,
        workers=now.counts.workers if now.counts else None,
        waiting=now.counts.waiting if now.counts else None,
        running=now.counts.running if now.counts else None,
        core_wait=None if now.core_wait is None else round(now.core_wait, 3),
    )
