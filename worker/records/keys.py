"""Access keys: made once, shown once, kept as a hash.

A key is `sts_<id>_<secret>`. The secret has 130 random bits, so one round of SHA-256 keeps it: there is
nothing to guess, and no slow hash to make every request wait for.
"""

import hashlib
import hmac
import re
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, and_, insert, or_, select, update

from worker.records.ids import LENGTH, new_id
from worker.records.tables import Key, Workshop

SCOPES = ("read", "plan", "admin")
_FORM = re.compile(rf"sts_([0-9a-z]{{{LENGTH}}})_([0-9a-z]{{{LENGTH}}})")


@dataclass(frozen=True)
class KeyRow:
    """A key as it may be shown: without its secret. Times in seconds since 1970, UTC."""

    id: str
    workshop: str
    label: str
    scopes: tuple[str, ...]
    created_at: float
    revoked_at: float | None
    ends_at: float | None


@dataclass(frozen=True)
class Holder:
    """Whose key it is and what it opens."""

    workshop_id: str
    scopes: frozenset[str]
    requests_per_minute: int
    key_id: str
    label: str


LASTS_DAYS = 365
"""Days a key opens what it opens, unless its maker says otherwise."""
OVERLAP = 86400.0
"""Seconds the old key goes on after it was rotated, so that programs can be given the new one."""


def valid(now: float) -> ColumnElement[bool]:
    """The condition of a key that opens something at that moment."""
    return and_(Key.revoked_at.is_(None), or_(Key.ends_at.is_(None), Key.ends_at > now))


def make(
    connection: Connection,
    workshop_id: str,
    label: str,
    scopes: tuple[str, ...],
    now: float,
    days: int | None = LASTS_DAYS,
) -> tuple[str, str]:
    """A new key: its id, and its whole text, which nobody can ever read here again. days: None for one without end."""
    key_id, secret = new_id(), new_id()
    connection.execute(
        insert(Key).values(
            id=key_id,
            workshop_id=workshop_id,
            label=label,
            secret_sha256=hashed(secret),
            scopes=" ".join(scopes),
            created_at=now,
            ends_at=None if days is None else now + days * 86400.0,
        )
    )
    return key_id, f"sts_{key_id}_{secret}"


def rotate(
    connection: Connection, key_id: str, now: float, workshop_id: str | None = None
) -> tuple[KeyRow, str] | None:
    """A key that follows this one, with its label, scopes and length of life; the old one ends within a day.

    Gives the new key and its text; None where there is no such key, or it opens nothing any more.
    """
    query = select(Key).where(Key.id == key_id, valid(now))
    if workshop_id is not None:
        query = query.where(Key.workshop_id == workshop_id)
    old = connection.execute(query).one_or_none()
    if old is None:
        return None
    days = None if old.ends_at is None else max(1, round((old.ends_at - old.created_at) / 86400.0))
    new_key, text = make(connection, old.workshop_id, old.label, tuple(old.scopes.split()), now, days)
    ends = now + OVERLAP if old.ends_at is None else min(old.ends_at, now + OVERLAP)
    connection.execute(update(Key).where(Key.id == key_id).values(ends_at=ends))
    return next(row for row in list_keys(connection, old.workshop_id) if row.id == new_key), text


def holder_of(connection: Connection, text: str, now: float) -> Holder | None:
    """Who holds this key; None for anything that is no key, no longer one, or not quite one."""
    match = _FORM.fullmatch(text)
    if match is None:
        return None
    row = connection.execute(
        select(Key.workshop_id, Key.secret_sha256, Key.scopes, Key.label, Workshop.max_requests_per_minute)
        .join(Workshop, Workshop.id == Key.workshop_id)
        .where(Key.id == match.group(1), valid(now))
    ).one_or_none()
    # Compared also where there is no row, so that the time taken tells nothing.
    same = hmac.compare_digest(hashed(match.group(2)), row.secret_sha256 if row else "0" * 64)
    if row is None or not same:
        return None
    return Holder(
        row.workshop_id, frozenset(row.scopes.split()), row.max_requests_per_minute, match.group(1), row.label
    )


def list_keys(connection: Connection, workshop_id: str | None = None) -> list[KeyRow]:
    """A workshop's keys, or everybody's, oldest first."""
    query = select(Key.id, Workshop.name, Key.label, Key.scopes, Key.created_at, Key.revoked_at, Key.ends_at).join(
        Workshop, Workshop.id == Key.workshop_id
    )
    if workshop_id is not None:
        query = query.where(Key.workshop_id == workshop_id)
    rows = connection.execute(query.order_by(Key.created_at, Key.id))
    return [KeyRow(r.id, r.name, r.label, tuple(r.scopes.split()), r.created_at, r.revoked_at, r.ends_at) for r in rows]


def revoke(connection: Connection, key_id: str, now: float, workshop_id: str | None = None) -> bool:
    """From now on the key opens nothing; False if there is none. Revoking twice is revoking once."""
    query = update(Key).where(Key.id == key_id)
    if workshop_id is not None:
        query = query.where(Key.workshop_id == workshop_id)
    known = connection.execute(query.values(label=Key.label)).rowcount == 1
    if known:
        connection.execute(query.where(Key.revoked_at.is_(None)).values(revoked_at=now))
    return known


def any_valid(connection: Connection, now: float) -> bool:
    """Whether anybody could come in with a key at all."""
    return connection.execute(select(Key.id).where(valid(now)).limit(1)).first() is not None


def hashed(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()
