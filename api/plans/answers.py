"""Responses about one plan. The run plan goes out as the very text that was published, not parsed again."""

import json

from fastapi import Response

from api.plans.schemas import etag, state
from worker.records.reading import PlanRow


def state_response(row: PlanRow, status: int = 200, headers: dict[str, str] | None = None) -> Response:
    """Where the plan stands."""
    return Response(
        state(row).model_dump_json(),
        status,
        {"ETag": etag(row), "Cache-Control": "no-cache", **(headers or {})},
        "application/json",
    )


def accepted(row: PlanRow) -> Response:
    """202 for a plan that is queued, and where to look."""
    return state_response(row, 202, {"Location": f"/v1/plans/{row.id}", "Retry-After": "1"})


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
