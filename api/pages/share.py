"""Sharing a plan: links that open it without a key, for a while; and following one."""

import time
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Annotated

import segno
from fastapi import APIRouter, Form, Path, Request, Response
from fastapi.responses import RedirectResponse

from api.documents.calendar import What, calendar_of
from api.http.access import link_cookie, too_many
from api.http.sheets import AskedLanguage
from api.languages import wording
from api.pages.auth import PageMaker, PageRoute
from api.pages.templating import of_plan, page
from api.plans.parameters import PlanId
from api.service import Service, TheService
from api.services import shared_links
from api.services.published import Published, find_published
from api.services.shared_links import LinkWanted
from api.serving.reach import reached_at
from planner import wording as plain
from worker.records.ids import PATTERN
from worker.records.shared_links import LinkRow

router = APIRouter(route_class=PageRoute, include_in_schema=False)
DAYS = {1: "a day", 7: "a week", 30: "a month", 90: "three months", 365: "a year"}
Text = Annotated[str, Form(max_length=200)]
LinkId = Annotated[str, Path(pattern=PATTERN)]


@dataclass(frozen=True)
class Shown:
    """A link in the list. state: `opens the plan until ...`, or why it does not any more."""

    row: LinkRow
    state: str
    alive: bool


@router.get("/plans/{plan_id}/share")
def share_page(plan_id: PlanId, request: Request, service: TheService, caller: PageMaker) -> Response:
    """The plan's links, and a form for another."""
    return _shown(request, service, caller.workshop_id, find_published(service, caller.workshop_id, plan_id))


@router.post("/plans/{plan_id}/share")
def share(
    plan_id: PlanId,
    request: Request,
    service: TheService,
    caller: PageMaker,
    label: Text = "",
    may: Text = "read",
    days: Text = "30",
) -> Response:
    """Makes a link and shows its address this once."""
    shown = find_published(service, caller.workshop_id, plan_id)
    said = " ".join(label.split())
    typed = {"label": said, "may": may, "days": days}
    long = int(days) if days.isdecimal() and int(days[:9]) in DAYS else 30
    if not said:
        problems = {"label": "write for whom it is, so that you know later which to revoke"}
        return _shown(request, service, caller.workshop_id, shown, typed=typed, problems=problems)
    wanted = LinkWanted(plan_id, "log" if may == "log" else "read", said, long)
    made = shared_links.made(service, caller.workshop_id, wanted)
    address = f"{_reached(request, service) or _asked(request)}/s/{made.secret}"
    return _shown(request, service, caller.workshop_id, shown, address=address, made=wanted.may)


@router.post("/plans/{plan_id}/share/{link_id}/revoke")
def revoke(plan_id: PlanId, link_id: LinkId, service: TheService, caller: PageMaker) -> Response:
    """From the next request on it opens nothing."""
    shared_links.revoke(service, caller.workshop_id, plan_id, link_id)
    return RedirectResponse(f"/plans/{plan_id}/share#links", 303)


@router.get("/s/{secret}")
def follow(secret: Annotated[str, Path(max_length=200)], request: Request, service: TheService) -> Response:
    """Opens what the link opens; the browser keeps its secret for that plan until it ends."""
    address = request.client.host if request.client else ""
    too_many(service.addresses.wait(address))
    link = shared_links.followed(service, secret)
    if link is None:
        service.addresses.wrong(address)
        return page("link_ended.html", 410)
    answer = RedirectResponse(f"/plans/{link.plan_id}" + ("/press" if link.may == "log" else ""), 303)
    answer.set_cookie(
        link_cookie(link.plan_id),
        secret,
        max_age=max(1, int(link.ends_at - time.time())),
        httponly=True,
        samesite="lax",  # it is followed from mails and chats, whose pages are other sites
        secure=request.url.scheme == "https",
    )
    answer.headers["Cache-Control"] = "no-store"
    return answer


@router.get("/s/{secret}/calendar.ics")
def subscribed(
    secret: Annotated[str, Path(max_length=200)],
    request: Request,
    service: TheService,
    read: AskedLanguage,
    what: What = "key",
) -> Response:
    """The calendar of the plan's newest revision, for a calendar program that asks again by itself."""
    address = request.client.host if request.client else ""
    too_many(service.addresses.wait(address))
    guest = shared_links.guest_of(service, secret)
    if guest is None or guest.link.may != "read":
        service.addresses.wrong(address)
        return page("link_ended.html", 410)
    shown = find_published(service, guest.workshop_id, guest.link.plan_id)
    read.begin()
    return calendar_of(service, guest.workshop_id, shown, what)


def _asked(request: Request) -> str:
    return f"{request.url.scheme}://{request.url.netloc}"


def _reached(request: Request, service: Service) -> str | None:
    return reached_at(service.settings, _asked(request))


def _shown(
    request: Request,
    service: Service,
    workshop_id: str,
    shown: Published,
    address: str = "",
    made: str = "",
    typed: dict[str, str] | None = None,
    problems: dict[str, str] | None = None,
) -> Response:
    now = time.time()
    return page(
        "share.html",
        422 if problems else 200,
        {"Cache-Control": "no-store"},
        here="share",
        **of_plan(shown),
        links=[_state(row, now) for row in shared_links.of_plan(service, workshop_id, shown.row.id)],
        address=address,
        made=made,
        code=segno.make(address, error="m", micro=False).png_data_uri(scale=4, border=2) if address else "",
        reached=_reached(request, service),
        typed=typed or {"may": "read", "days": "30"},
        problems=problems or {},
        days=[(str(number), text) for number, text in DAYS.items()],
    )


def _state(row: LinkRow, now: float) -> Shown:
    def day(seconds: float) -> str:
        return plain.day(datetime.fromtimestamp(seconds, UTC))  # the page tells it as its reader does

    if row.revoked_at is not None:
        return Shown(row, f"revoked on {day(row.revoked_at)}", False)
    if row.ends_at <= now:
        return Shown(row, f"ended on {day(row.ends_at)}", False)
    opened = f", last opened {wording.duration(now - row.opened_at)} ago" if row.opened_at else ", not opened yet"
    return Shown(row, f"until {day(row.ends_at)}{opened}", True)
