"""What every request can reach: settings, records, the queue's sender, and its own id."""

from contextvars import ContextVar
from dataclasses import dataclass, field
from typing import Annotated, cast

from celery import Celery
from fastapi import Depends, Request

from api.service.counting import Metrics
from api.service.rate_limit import Addresses, WorkshopLimit
from api.service.tried import Tried
from worker.queue.sender import Sender
from worker.records.database import Database
from worker.settings import Settings

request_id: ContextVar[str] = ContextVar("request_id", default="-")
"""Of the request that is being answered: in its answer, its log lines, the plan it submits, the worker's lines."""


@dataclass(frozen=True)
class Service:
    """Made once at start. local_workshop: whose requests need no key; None off loopback."""

    settings: Settings
    database: Database
    queue: Celery
    sender: Sender
    rate_limit: WorkshopLimit
    addresses: Addresses
    metrics: Metrics
    local_workshop: str | None
    writes: Tried = field(default_factory=Tried)
    """Whether the records take a change."""


async def service_of(request: Request) -> Service:
    """The service that answers this request."""
    return cast(Service, request.app.state.service)


TheService = Annotated[Service, Depends(service_of)]
