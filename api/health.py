"""Whether the service lives, and whether it can do everything it is there for."""

import time
from typing import Literal

from fastapi import APIRouter, Response
from pydantic import BaseModel

from api.service import TheService
from worker.queue.broker import depths
from worker.records import health

router = APIRouter(tags=["health"])


class Live(BaseModel):
    status: Literal["live"] = "live"


class Ready(BaseModel):
    """records: reads and submissions work. queue: submitted plans reach a worker. workers: someone works."""

    ready: bool
    records: bool
    queue: bool
    waiting: int | None
    running: int | None


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
    try:
        with service.database.read() as connection:
            counts = health.counts(connection, time.time())
    except Exception:
        counts = None
    try:
        depths(service.queue)
        queue = True
    except Exception:
        queue = False
    both = counts is not None and queue
    response.status_code = 200 if both else 503
    response.headers["Cache-Control"] = "no-store"
    return Ready(
        ready=both,
        records=counts is not None,
        queue=queue,
        waiting=counts.waiting if counts else None,
        running=counts.running if counts else None,
    )
