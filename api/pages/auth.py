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
from fastapi import Depends, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import RedirectResponse
from fastapi.routing import APIRoute
from sqlalchemy.exc import DBAPIError, TimeoutError
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from api.apart.process import Busy
from api.http.access import Caller, may
from api.http.problems import fault, records_away
from api.pages.templating import page
from api.service import request_id
from api.service.refusals import TRY_LATER, NoKey, NotFound, Refused, Unavailable

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
            except ClientDisconnect:
                raise
            except (DBAPIError, TimeoutError) as error:
                return await to_thread.run_sync(refusal, records_away(error))
            except Exception as error:
                return await to_thread.run_sync(refusal, fault(error))

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


PageReader = Annotated[Caller, Depends(may("read"))]
PageLogger = Annotated[Caller, Depends(may("log"))]
PageMaker = Annotated[Caller, Depends(may("plan"))]


def _address(request: Request) -> str:
    """What was asked for, with what stands behind the question mark."""
    return request.url.path + (f"?{request.url.query}" if request.url.query else "")


def safe_next(address: str) -> str:
    """An address on this service, or its first page: never a way out to another site."""
    parts = urlsplit(address)
    if parts.scheme or parts.netloc or not address.startswith("/") or address.startswith(("//", "/\\")):
        return "/"
    return address
