"""First answers to requests that carry an Idempotency-Key, kept for a day."""

from dataclasses import dataclass

from sqlalchemy import Connection, delete, select, update
from sqlalchemy.dialects import postgresql, sqlite

from worker.records.tables import KeptAnswer

KEPT = 24 * 3600.0
"""Seconds an answer is given again."""


@dataclass(frozen=True)
class Earlier:
    """What was answered to the first request with a key. headers: JSON."""

    request_sha256: str
    status: int
    headers: str
    body: str


def begin(connection: Connection, workshop_id: str, key: str, digest: str, now: float) -> Earlier | None:
    """The earlier answer to this key; None if this request is the first, which must call `keep`.

    Two at once: the second waits here until the first one's transaction ends.
    """
    connection.execute(delete(KeptAnswer).where(KeptAnswer.created_at < now - KEPT))
    dialect = sqlite if connection.dialect.name == "sqlite" else postgresql
    statement = (
        dialect.insert(KeptAnswer)
        .values(
            workshop_id=workshop_id,
            key=key,
            request_sha256=digest,
            status=0,
            headers="{}",
            body="",
            created_at=now,
        )
        .on_conflict_do_nothing()
        .returning(KeptAnswer.key)
    )
    # Not by rowcount, which PostgreSQL's driver does not tell for this statement.
    if connection.execute(statement).first() is not None:
        return None
    first = connection.execute(
        select(KeptAnswer.request_sha256, KeptAnswer.status, KeptAnswer.headers, KeptAnswer.body).where(
            KeptAnswer.workshop_id == workshop_id, KeptAnswer.key == key
        )
    ).one()
    return Earlier(*first)


def keep(connection: Connection, workshop_id: str, key: str, status: int, headers: str, body: str) -> None:
    """Fill in the answer that `begin` made room for."""
    connection.execute(
        update(KeptAnswer)
        .where(KeptAnswer.workshop_id == workshop_id, KeptAnswer.key == key)
        .values(status=status, headers=headers, body=body)
    )
