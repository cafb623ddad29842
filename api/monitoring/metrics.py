"""GET /v1/metrics: what happens here, for Prometheus."""

import hmac
from typing import Annotated

from fastapi import APIRouter, Header, Response
from prometheus_client import generate_latest

from api.http.problems import answers
from api.service import TheService
from api.service.refusals import NoKey

router = APIRouter(tags=["health"])
_TEXT = "text/plain; version=0.0.4; charset=utf-8"


@router.get(
    "/v1/metrics",
    summary="Metrics",
    response_class=Response,
    responses=answers(NoKey)
    | {200: {"content": {_TEXT: {"schema": {"type": "string"}}}, "description": "Prometheus text"}},
)
def metrics(service: TheService, authorization: Annotated[str | None, Header()] = None) -> Response:
    """Over all workshops. On loopback open; elsewhere it asks for the token set as SHOT_TO_SHIP_METRICS_TOKEN."""
    token = service.settings.metrics_token
    given = (authorization or "").removeprefix("Bearer ").encode()
    if service.local_workshop is None and not (token and hmac.compare_digest(given, token.encode())):
        raise NoKey("Send the metrics token as `Authorization: Bearer ...`.", headers={"WWW-Authenticate": "Bearer"})
    return Response(generate_latest(service.metrics.registry), media_type=_TEXT)
