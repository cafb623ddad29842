"""Pages as clients of the API: asked inside this process, as the very caller who opened the page.

A page is made in a thread beside the event loop (`api.pages.auth`), which asks from there and waits.
"""

from http import HTTPStatus
from typing import Any

import httpx2
from anyio import from_thread
from fastapi import Request

from api.service import request_id
from api.service.refusals import Refused
from planner.errors import Problem

_FORWARDED = ("cookie", "authorization")


class Answered(Refused):
    """What the API refused, for the page to show."""

    @property
    def told(self) -> str:
        """All of it in a line."""
        return "; ".join(f"{p.message}; {p.remedy}" if p.remedy else p.message for p in self.problems) or self.detail


def ask(
    request: Request,
    method: str,
    path: str,
    body: Any = None,
    accept: str = "application/json",
    csv: bytes | None = None,
    prefer: str = "",
    once: str = "",
) -> httpx2.Response:
    """The API's answer. body: sent as JSON; csv: sent as it is. once: an Idempotency-Key.

    Raises Answered with its problem document."""
    headers = {name: request.headers[name] for name in _FORWARDED if name in request.headers} | {"accept": accept}
    headers["x-request-id"] = request_id.get()
    if csv is not None:
        headers["content-type"] = "text/csv"
    if once:
        headers["idempotency-key"] = once
    if prefer:
        headers["prefer"] = prefer

    async def inside() -> httpx2.Response:
        transport = httpx2.ASGITransport(app=request.app)
        async with httpx2.AsyncClient(transport=transport, base_url=str(request.base_url), timeout=None) as client:
            return await client.request(method, path, json=body, content=csv, headers=headers)

    answer = from_thread.run(inside)
    if answer.status_code >= 400:
        said = answer.json()
        problems = [Problem(one["pointer"], one["message"], one["remedy"]) for one in said.get("errors", [])]
        refused = Answered(said["detail"], problems)
        refused.title, refused.status = said["title"], HTTPStatus(answer.status_code)
        raise refused
    return answer
