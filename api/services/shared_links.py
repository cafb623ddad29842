"""Links that open one plan without a key: made, listed, revoked, followed."""

import time
from dataclasses import dataclass

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import NotFound, TooMany
from api.services.acting import now_acting
from api.services.finding import find_plan
from api.services.once import Answer, Once
from worker.records import history, shared_links
from worker.records.ids import new_id
from worker.records.shared_links import Guest, LinkRow, May, TooManyLinks

FOR = {"read": "to read", "log": "to write the log at the press"}


@dataclass(frozen=True)
class NewLink:
    """A link that was made. secret: what its address ends with, which nobody can read here again."""

    row: LinkRow
    secret: str


@dataclass(frozen=True)
class LinkWanted:
    """label: for whom. days: it opens something for so many."""

    plan_id: str
    may: May
    label: str
    days: int


def make(service: Service, once: Once[NewLink], wanted: LinkWanted) -> Answer:
    """Raises NotFound, and TooMany where the plan has as many as it may."""

    def act(connection: Connection, now: float) -> NewLink:
        return _made(connection, once.workshop_id, wanted, now)

    return once.carried_out(service, act)


def made(service: Service, workshop_id: str, wanted: LinkWanted) -> NewLink:
    """As `make`, for whoever sends nothing twice."""
    with service.database.write() as connection:
        return _made(connection, workshop_id, wanted, time.time())


def _made(connection: Connection, workshop_id: str, wanted: LinkWanted, now: float) -> NewLink:
    find_plan(connection, workshop_id, wanted.plan_id)
    who, ends = now_acting().who, now + wanted.days * 86400.0
    row = LinkRow(new_id(), wanted.plan_id, wanted.may, wanted.label, who, now, ends)
    try:
        secret = shared_links.make(connection, workshop_id, row)
    except TooManyLinks as error:
        raise TooMany(f"{error}; revoke some that nobody needs.") from None
    said = f"shared by a link {FOR[wanted.may]}: {wanted.label}, for {wanted.days} days"
    history.add(connection, workshop_id, wanted.plan_id, who, said, now)
    return NewLink(row, secret)


def of_plan(service: Service, workshop_id: str, plan_id: str) -> list[LinkRow]:
    """The newest first, those too that open nothing any more. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return shared_links.of_plan(connection, workshop_id, plan_id)


def revoke(service: Service, workshop_id: str, plan_id: str, link_id: str) -> None:
    """From the next request on it opens nothing. Raises NotFound."""
    now = time.time()
    with service.database.write() as connection:
        find_plan(connection, workshop_id, plan_id)
        row = shared_links.revoke(connection, workshop_id, plan_id, link_id, now)
        if row is None:
            raise NotFound("This plan has no such link.")
        if row.revoked_at == now:
            history.add(connection, workshop_id, plan_id, now_acting().who, f"revoked the link: {row.label}", now)


def guest_of(service: Service, secret: str) -> Guest | None:
    """Whom a link lets in; None where it opens nothing any more."""
    with service.database.read() as connection:
        return shared_links.guest_of(connection, secret, time.time())


def followed(service: Service, secret: str) -> LinkRow | None:
    """The link, noted as opened now; None where it opens nothing any more."""
    with service.database.write() as connection:
        guest = shared_links.guest_of(connection, secret, time.time())
        if guest is None:
            return None
        shared_links.opened(connection, guest.link.id, time.time())
        return guest.link
