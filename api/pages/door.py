"""Who may see pages, and what a page says when something is refused.

On this machine alone no key is asked for. Elsewhere a person signs in with the workshop's access key once; it is
kept in a cookie that scripts cannot read and that other sites' pages cannot make the browser send.
"""

from collections.abc import Callable, Coroutine
from typing import Annotated, Any
from urllib.parse import quote, urlsplit

from fastapi import APIRouter, Depends, Form, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException

from api.access import COOKIE, Caller, may, same_origin
from api.pages.dress import page
from api.problems import NoKey, NotFound, Refused
from api.requests import request_id
from api.service import TheService
from worker.records import keys


class PageRoute(APIRoute):
    """A route whose refusals are pages too; whoever is not signed in is asked to."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        handle = super().get_route_handler()

        async def answer(request: Request) -> Response:
            try:
                return await handle(request)
            except NoKey:
                here = quote(request.url.path if request.method == "GET" else "/", safe="/")
                return RedirectResponse(f"/sign-in?next={here}", 303)
            except Refused as refused:
                return refusal(refused)
            except RequestValidationError:
                return refusal(NotFound("There is nothing under this address."))
            except HTTPException as error:
                return refusal(NotFound(str(error.detail)), error.status_code)

        return answer


def refusal(refused: Refused, status: int | None = None) -> Response:
    """A page that says what was refused, why, and what to do."""
    return page(
        "refused.html",
        int(status or refused.status),
        refused.headers,
        title=refused.title,
        detail=refused.detail,
        problems=refused.problems,
        request=request_id.get(),
    )


router = APIRouter(route_class=PageRoute, include_in_schema=False)
PageReader = Annotated[Caller, Depends(may("read"))]
PageMaker = Annotated[Caller, Depends(may("plan"))]
_MONTH = 30 * 86400


@router.get("/sign-in")
def sign_in_page(next_: Annotated[str, Query(alias="next", max_length=300)] = "/") -> Response:
    """Asks for the access key."""
    return page("sign_in.html", next=_ours(next_), problem="")


@router.post("/sign-in")
def sign_in(
    request: Request,
    service: TheService,
    key: Annotated[str, Form(max_length=300)] = "",
    next_: Annotated[str, Form(alias="next", max_length=300)] = "/",
) -> Response:
    """Keeps the key in the browser if it opens anything."""
    same_origin(request)
    with service.database.read() as connection:
        holder = keys.holder_of(connection, key.strip())
    if holder is None:
        problem = "This access key is unknown or was revoked. Check that it was copied whole, or ask for a new one."
        return page("sign_in.html", 401, next=_ours(next_), problem=problem)
    answer = RedirectResponse(_ours(next_), 303)
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, key.strip(), max_age=_MONTH, httponly=True, samesite="strict", secure=secure)
    return answer


@router.post("/sign-out")
def sign_out(request: Request) -> Response:
    """Forgets the key in this browser."""
    same_origin(request)
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(COOKIE)
    return answer


def _ours(address: str) -> str:
    """An address on this service, or its first page: never a way out to another site."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc or not address.startswith("/") or address.startswith(("//", "/\\")):
        return "/"
    return address
