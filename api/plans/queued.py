"""What the requests that have a plan planned again share: their parameters, and that they are carried out once for each
key."""

from collections.abc import Callable
from typing import Annotated, Any

from anyio import to_thread
from fastapi import Depends, Request, Response

from api.http.access import Submitter
from api.http.bodies import read_json
from api.http.idempotency import IdempotencyKey, response_of
from api.plans.parameters import PlanId
from api.service import TheService
from api.services.once import Answer, Made, Once


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

    def once(self, body: bytes, told: Callable[[Made], Answer]) -> Once[Made]:
        """The request with that body; a second one with the same key gets the first answer."""
        return Once(self.workshop_id, self.key, (self.request.url.path, body), told)

    async def answered(self, act: Callable[[], Answer]) -> Response:
        """What `act` answers, beside the event loop."""
        return response_of(await to_thread.run_sync(act))


PlanAsked = Annotated[PlanRequest, Depends()]
