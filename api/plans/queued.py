"""What the requests that have a plan planned again share: their parameters, once for each key, and the word to the
sender."""

import time
from collections.abc import Callable
from typing import Annotated, Any

from anyio import to_thread
from fastapi import Depends, Request, Response
from sqlalchemy import Connection

from api.http.access import Submitter
from api.http.bodies import read_json
from api.http.idempotency import IdempotencyKey, once
from api.http.problems import Conflict
from api.plans import editions
from api.plans.answers import accepted
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.campaign_documents import ReadCampaign
from api.services.finding import find_plan
from worker.records import changing


class PlanRequest:
    """A request about one plan that queues something; a dependency of its route."""

    def __init__(
        self,
        plan_id: PlanId,
        request: Request,
        service: TheService,
        caller: Submitter,
        idempotency_key: IdempotencyKey = None,
    ) -> None:
        self.plan_id, self.request, self.service = plan_id, request, service
        self.workshop_id, self.key = caller.workshop_id, idempotency_key

    async def json(self) -> tuple[bytes, Any]:
        """The request's body, and what it says. Raises what `read_json` raises."""
        settings = self.service.settings
        return await read_json(self.request, settings.largest_body_bytes, settings.deepest_body)

    def once(self, body: bytes, act: Callable[[Connection, float], Response]) -> Response:
        """Act in one transaction, given it and the moment; a second request with the same key gets the first answer."""
        now = time.time()
        asked = (self.request.url.path, body)
        with self.service.database.write() as connection:
            return once(connection, self.workshop_id, self.key, asked, now, lambda: act(connection, now))

    async def queued(self, record: Callable[[], Response]) -> Response:
        """Run `record` beside the event loop, then have what it queued sent."""
        accepted = await to_thread.run_sync(record)
        self.service.sender.nudge()
        return accepted


def revised(
    connection: Connection, workshop_id: str, plan_id: str, read: ReadCampaign, if_match: str | None, now: float
) -> Response:
    """Queue the plan's next revision. Raises NotFound, what `editions.check` raises, and Conflict for an open plan."""
    row = find_plan(connection, workshop_id, plan_id)
    editions.check(if_match, row, needed=True)
    try:
        changing.plan_anew(connection, workshop_id, plan_id, read.document, read.budget, read.queue, now)
    except changing.StillOpen:
        raise Conflict(f"The plan is {row.status}; stop or cancel it first.") from None
    return accepted(find_plan(connection, workshop_id, plan_id))


PlanAsked = Annotated[PlanRequest, Depends()]
