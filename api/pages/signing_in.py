"""Signing in with the workshop's access key, and out again."""

from typing import Annotated

from fastapi import APIRouter, Form, Query, Request, Response
from fastapi.responses import RedirectResponse

from api.http.access import COOKIE, same_origin, too_many
from api.languages import gettext
from api.pages.auth import PageRoute, safe_next
from api.pages.templating import page
from api.service import TheService
from api.services import sessions
from worker.records.sessions import LASTS

router = APIRouter(route_class=PageRoute, include_in_schema=False)


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
