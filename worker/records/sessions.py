"""Browser sessions: begun by signing in with a key, ended by signing out, by the key's end, or by time.

The browser keeps a secret of the session's own, never the key; here only its hash is kept.
"""

from sqlalchemy import Connection, delete, insert, select

from worker.records.ids import new_id
from worker.records.keys import Holder, hashed, valid
from worker.records.tables import Key, Session, Workshop

LASTS = 30 * 86400.0
"""Seconds from signing in."""


def begin(connection: Connection, key_id: str, now: float) -> str:
    """A new session of whoever holds that key; gives its secret, which is never read here again."""
    connection.execute(delete(Session).where(Session.ends_at < now))
    secret = new_id() + new_id()
    connection.execute(
        insert(Session).values(secret_sha256=hashed(secret), key_id=key_id, created_at=now, ends_at=now + LASTS)
    )
    return secret


def holder_of(connection: Connection, secret: str, now: float) -> Holder | None:
    """Who is signed in; None if nobody is any more, also since the key opens nothing any more."""
    row = connection.execute(
        select(Key.workshop_id, Key.id, Key.scopes, Key.label, Workshop.max_requests_per_minute)
        .join(Session, Session.key_id == Key.id)
        .join(Workshop, Workshop.id == Key.workshop_id)
        .where(Session.secret_sha256 == hashed(secret), Session.ends_at > now, valid(now))
    ).one_or_none()
    if row is None:
        return None
    return Holder(row.workshop_id, frozenset(row.scopes.split()), row.max_requests_per_minute, row.id, row.label)


def end(connection: Connection, secret: str) -> None:
    """Signed out: the secret opens nothing any more, wherever it was copied to."""
    connection.execute(delete(Session).where(Session.secret_sha256 == hashed(secret)))
