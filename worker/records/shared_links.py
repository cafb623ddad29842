"""Links that open one plan without a key: to read it, or to write into its log at the press.

The secret has 260 random bits and stands in the link only; here its hash is kept. Every statement of the maker's names
the workshop.
"""

from dataclasses import dataclass
from typing import Literal, cast

from sqlalchemy import Connection, func, insert, select, update

from worker.records.ids import new_id
from worker.records.keys import hashed
from worker.records.tables import SharedLink, Workshop

May = Literal["read", "log"]
MOST = 100
"""Links of one plan that open something."""


class TooManyLinks(Exception):
    """The plan has as many links as it may."""


@dataclass(frozen=True)
class LinkRow:
    """A link as it may be shown: without its secret. Times in seconds since 1970, UTC."""

    id: str
    plan_id: str
    may: May
    label: str
    made_by: str
    created_at: float
    ends_at: float
    revoked_at: float | None = None
    opened_at: float | None = None


@dataclass(frozen=True)
class Guest:
    """Whoever follows a link: which plan of which workshop it opens, and for what."""

    workshop_id: str
    link: LinkRow
    requests_per_minute: int


_COLUMNS = tuple(
    getattr(SharedLink, name)
    for name in ("id", "plan_id", "may", "label", "made_by", "created_at", "ends_at", "revoked_at", "opened_at")
)


def make(connection: Connection, workshop_id: str, row: LinkRow) -> str:
    """Write a link down; gives its secret, which nobody can read here again. Raises TooManyLinks."""
    now = row.created_at
    known = connection.execute(
        select(func.count()).where(
            SharedLink.workshop_id == workshop_id,
            SharedLink.plan_id == row.plan_id,
            SharedLink.revoked_at.is_(None),
            SharedLink.ends_at > now,
        )
    ).scalar_one()
    if known >= MOST:
        raise TooManyLinks(f"a plan has {MOST} links at most")
    secret = new_id() + new_id()
    connection.execute(
        insert(SharedLink).values(
            id=row.id,
            workshop_id=workshop_id,
            plan_id=row.plan_id,
            secret_sha256=hashed(secret),
            may=row.may,
            label=row.label,
            made_by=row.made_by,
            created_at=now,
            ends_at=row.ends_at,
        )
    )
    return secret


def of_plan(connection: Connection, workshop_id: str, plan_id: str) -> list[LinkRow]:
    """The plan's links, those too that open nothing any more; the newest first."""
    rows = connection.execute(
        select(*_COLUMNS)
        .where(SharedLink.workshop_id == workshop_id, SharedLink.plan_id == plan_id)
        .order_by(SharedLink.created_at.desc(), SharedLink.id)
    )
    return [LinkRow(*row) for row in rows]


def revoke(connection: Connection, workshop_id: str, plan_id: str, link_id: str, now: float) -> LinkRow | None:
    """From now on it opens nothing; None where there is none. Revoking twice is revoking once."""
    own = (SharedLink.workshop_id == workshop_id, SharedLink.plan_id == plan_id, SharedLink.id == link_id)
    connection.execute(update(SharedLink).where(*own, SharedLink.revoked_at.is_(None)).values(revoked_at=now))
    row = connection.execute(select(*_COLUMNS).where(*own)).one_or_none()
    return None if row is None else LinkRow(*row)


def guest_of(connection: Connection, secret: str, now: float) -> Guest | None:
    """Whom a secret lets in; None for one that opens nothing, or nothing any more."""
    row = connection.execute(
        select(SharedLink.workshop_id, Workshop.max_requests_per_minute, *_COLUMNS)
        .join(Workshop, Workshop.id == SharedLink.workshop_id)
        .where(SharedLink.secret_sha256 == hashed(secret), SharedLink.revoked_at.is_(None), SharedLink.ends_at > now)
    ).one_or_none()
    if row is None:
        return None
    workshop_id, pace, *rest = row
    return Guest(cast(str, workshop_id), LinkRow(*rest), cast(int, pace))


def opened(connection: Connection, link_id: str, now: float) -> None:
    """Somebody followed it."""
    connection.execute(update(SharedLink).where(SharedLink.id == link_id).values(opened_at=now))
