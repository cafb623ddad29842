"""Who may see pages, and what a page says when something is refused.

On this machine alone no key is asked for. Elsewhere a person signs in with the workshop's access key once. The browser
keeps the secret of a session, not the key, in a cookie that scripts cannot read and that other sites' pages cannot make
it send; signing out ends the session.
"""

from collections.abc import Callable, Coroutine
from functools import partial, wraps
from typing import Annotated, Any
from urllib.parse import quote, urlsplit

from anyio import CapacityLimiter, to_thread
from anyio.lowlevel import RunVar
from fastapi import APIRouter, Depends, Form, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from fastapi.routing import APIRoute
from starlette.exceptions import HTTPException

from api.apart.process import Busy
from api.http.access import COOKIE, Caller, may, same_origin, too_many
from api.languages import gettext
from api.pages.templating import page
from api.service import TheService, request_id
from api.service.refusals import TRY_LATER, NoKey, NotFound, Refused, Unavailable
from api.services import sessions
from worker.records.sessions import LASTS

MOST_PAGES = 8
"""Pages made at a time: fewer than the threads the API has, which the pages' own questions need."""
_places: RunVar[CapacityLimiter] = RunVar("places for pages")


def _beside_the_loop(make: Callable[..., Response]) -> Callable[..., Coroutine[Any, Any, Response]]:
    """The same handler, run in one of the threads kept for pages."""

    @wraps(make)
    async def made(**given: object) -> Response:
        try:
            places = _places.get()
        except LookupError:
            places = CapacityLimiter(MOST_PAGES)
            _places.set(places)
        return await to_thread.run_sync(partial(make, **given), limiter=places)

    return made


class PageRoute(APIRoute):
    """A route whose refusals are pages too; whoever is not signed in is asked to. Its handlers are plain functions."""

    def __init__(self, path: str, endpoint: Callable[..., Response], **said: Any) -> None:
        super().__init__(path, _beside_the_loop(endpoint), **said)

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        handle = super().get_route_handler()

        async def answer(request: Request) -> Response:
            try:
                return await handle(request)
            except NoKey:
                here = quote(_address(request) if request.method == "GET" else "/", safe="/")
                return RedirectResponse(f"/sign-in?next={here}", 303)
            except Refused as refused:
                return await to_thread.run_sync(refusal, refused)
            except Busy as busy:
                return await to_thread.run_sync(refusal, Unavailable(str(busy), headers=TRY_LATER))
            except RequestValidationError:
                return await to_thread.run_sync(refusal, NotFound("There is nothing under this address."))
            except HTTPException as error:
                return await to_thread.run_sync(refusal, NotFound(str(error.detail)), error.status_code)

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
PageLogger = Annotated[Caller, Depends(may("log"))]
PageMaker = Annotated[Caller, Depends(may("plan"))]


@router.get("/sign-in")
def sign_in_page(next_: Annotated[str, Query(alias="next", max_length=300)] = "/") -> Response:
    """Asks for the access key."""
    return page("sign_in.html", next=safe_next(next_), problem="")


@router.post("/sign-in")
def sign_in(
    request: Request,
    service: TheService,
    key: Annotated[str, Form(max_length=300)] = "",
    next_: Annotated[str, Form(alias="next", max_length=300)] = "/",
) -> Response:
    """Keeps the key in the browser if it opens anything."""
    same_origin(request)
    address = request.client.host if request.client else ""
    too_many(service.addresses.wait(address))
    holder = sessions.holder_of(service, key.strip())
    if holder is None:
        service.addresses.wrong(address)
        problem = gettext(
            "This access key is unknown, was revoked or has ended. Check that it was copied whole, or ask for "
            "a new one."
        )
        return page("sign_in.html", 401, next=safe_next(next_), problem=problem)
    secret = sessions.begin(service, holder)
    answer = RedirectResponse(safe_next(next_), 303)
    secure = request.url.scheme == "https"
    answer.set_cookie(COOKIE, secret, max_age=int(LASTS), httponly=True, samesite="strict", secure=secure)
    return answer


@router.post("/sign-out")
def sign_out(request: Request, service: TheService) -> Response:
    """Ends the session: its secret opens nothing any more, in this browser or any other."""
    same_origin(request)
    if secret := request.cookies.get(COOKIE):
        sessions.end(service, secret)
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(COOKIE)
    return answer


def _address(request: Request) -> str:
    """What was asked for, with what stands behind the question mark."""
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")


def safe_next(address: str) -> str:
    """An address on this service, or its first page: never a way out to another site."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc or not address.startswith("/") or address.startswith(("//", "/\\")):
        return "/"
    return address
