"""In which language pages are read, and what they weigh in: chosen at their foot, kept in a cookie."""

from typing import Annotated

from fastapi import APIRouter, Form, Request, Response
from fastapi.responses import RedirectResponse

from api.http.access import same_origin
from api.http.readers import COOKIE
from api.languages import LANGUAGES
from api.pages.auth import PageRoute, safe_next

router = APIRouter(route_class=PageRoute, include_in_schema=False)
YEAR = 365 * 24 * 3600


@router.post("/reading")
def choose(
    request: Request,
    language: Annotated[str, Form(max_length=10)] = "en",
    weights: Annotated[str, Form(max_length=10)] = "kg",
    back: Annotated[str, Form(max_length=2000)] = "/",
) -> Response:
    """Keeps it for a year, and shows the page again. Raises NotAllowed for another site's page."""
    same_origin(request)
    answer = RedirectResponse(safe_next(back), 303)
    chosen = f"{language if language in LANGUAGES else 'en'}.{'lb' if weights == 'lb' else 'kg'}"
    answer.set_cookie(COOKIE, chosen, max_age=YEAR, samesite="lax", secure=request.url.scheme == "https")
    return answer
