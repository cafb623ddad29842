"""Each page's reader: what they chose (a cookie), else what their browser asks for."""

import re
from http.cookies import CookieError, SimpleCookie

from babel import negotiate_locale
from starlette.types import ASGIApp, Receive, Scope, Send

from api.languages import LANGUAGES, reading
from api.languages.reading import Reader

COOKIE = "reads"
"""Language and weights somebody chose: `de.lb`."""
_TAG = re.compile(
    r"(?P<language>[A-Za-z]{2,3})(?:-[A-Za-z]{4})?(?:-(?P<land>[A-Za-z]{2}))?(?:\s*;\s*q=(?P<liked>[01](?:\.\d{1,3})?))?"
)
"""A language range (RFC 9110, 12.5.4) of the usual form: language, script, land, how much it is liked."""
_LOCALES = ("en_GB", "en_US", "en_AU", "en_CA", "en_IE", "en_IN", "en_NZ", "en_ZA")


class Readers:
    """Says whom a page is for before it is made. What programs ask for is the same for everybody."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "http":
            path = scope["path"]
            headers = {name: value.decode("latin-1") for name, value in scope["headers"]}
            reading.begin(reading.NOBODY if path.startswith(("/v1/", "/static/")) else reader_of(path, headers))
        await self.app(scope, receive, send)


def reader_of(path: str, headers: dict[bytes, str]) -> Reader:
    """For whom that page is."""
    language, _, weights = _chosen(headers.get(b"cookie", "")).partition(".")
    asked = _asked(headers.get(b"accept-language", ""))
    if language not in LANGUAGES:
        language = next((code[:2] for code in asked if code[:2] in LANGUAGES), "en")
    locale = negotiate_locale(asked, _LOCALES, sep="_") if language == "en" else language
    if locale is None and asked:
        locale = "en_GB"
    return Reader(language, locale or "", weights == "lb", path)


def _chosen(cookies: str) -> str:
    try:
        found = SimpleCookie(cookies).get(COOKIE)
    except CookieError:
        return ""
    return found.value[:20] if found else ""


def _asked(header: str) -> list[str]:
    """Locales by what is liked best, `de_AT`; what is no locale is left out."""
    found: list[tuple[float, str]] = []
    for piece in header[:300].split(",")[:20]:
        if tag := _TAG.fullmatch(piece.strip()):
            land = f"_{tag['land'].upper()}" if tag["land"] else ""
            found.append((-float(tag["liked"] or 1), tag["language"].lower() + land))
    return [name for _, name in sorted(found, key=lambda one: one[0])]
