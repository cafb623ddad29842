"""Whether the service lives, and whether it can do everything it is there for."""

import time
from typing import Literal

from fastapi import APIRouter, Response
from pydantic import BaseModel, Field

from api.service import TheService
from worker.queue.broker import depths
from worker.records import health

router = APIRouter(tags=["health"])
LATELY = 600.0
"""Seconds of the past by which the machines' cores are judged."""


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
    counts: health.Counts | None = None
    core_wait: float | None = None
    try:
        with service.database.read() as connection:
            counts = health.counts(connection, service.database.lease_clock.now(connection))
            core_wait = health.core_wait(connection, time.time() - LATELY)
    except Exception:
        pass  # said by `records`
    try:
        with service.database.write(patience=2.0):
            writes = True
    except Exception:
        writes = False
    try:
        depths(service.queue)
        queue = True
    except Exception:
        queue = False
    everything = counts is not None and writes and counts.workers > 0 and queue
    response.status_code = 200 if everything else 503
    response.headers["Cache-Control"] = "no-store"
    return Ready(
        ready=everything,
        records=counts is not None,
        writes=writes,
        queue=queue,
        workers=counts.workers if counts else None,
        waiting=counts.waiting if counts else None,
        running=counts.running if counts else None,
        core_wait=None if core_wait is None else round(core_wait, 3),
    )
