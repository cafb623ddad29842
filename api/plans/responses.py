"""Responses about one plan. The run plan goes out as the very text that was published, not parsed again."""

import json

from fastapi import Response

from api.http.idempotency import json_answer
from api.plans.schemas import etag, state
from api.services.once import Answer
from worker.records.reading import PlanRow


def told(row: PlanRow, status: int = 200, headers: dict[str, str] | None = None) -> Answer:
    """Where the plan stands."""
    more = {"ETag": etag(row), "Cache-Control": "no-cache", **(headers or {})}
    return json_answer(state(row).model_dump_json(), status, more)


def accepted(row: PlanRow) -> Answer:
    """202 for a plan that is queued, and where to look."""
    return told(row, 202, {"Location": f"/v1/plans/{row.id}", "Retry-After": "1"})


def ending(row: PlanRow) -> Answer:
    """202 for a plan that was stopped or cancelled."""
    return told(row, 202)


def plan_response(
    row: PlanRow, newest: tuple[int, str] | None, status: int = 200, headers: dict[str, str] | None = None
) -> Response:
    """Where the plan stands, and the run plan (api.plans.schemas.PlanAnswer)."""
    number, document = newest or (None, "null")
    standing = state(row).model_dump_json().removesuffix("}")
    body = f'{standing},"plan_revision":{json.dumps(number)},"plan":{document}}}'
    return Response(
        body, status, {"ETag": etag(row), "Cache-Control": "no-cache", "Vary": "Accept", **(headers or {})},
        "application/json",
    )  # fmt: skip
