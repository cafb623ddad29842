"""Workshops: whose data it is, and how much of the machine they may use."""

from sqlalchemy import Connection, insert, select
from sqlalchemy.exc import IntegrityError

from worker.records.database import Database
from worker.records.ids import new_id
from worker.records.tables import Workshop

LOCAL = "local"
"""The workshop of a service that listens on this machine only."""

QUOTAS = {
    "max_requests_per_minute": 6000,
    "max_open_plans": 1000,
    "max_cores": 8,
    "max_bytes": 4 * 2**30,
}


def find_by_name(connection: Connection, name: str) -> str | None:
    """The workshop's id."""
    return connection.execute(select(Workshop.id).where(Workshop.name == name)).scalar()


def ensure(database: Database, name: str, now: float) -> str:
    """The id of the workshop of that name, made with the usual quotas if there is none yet."""
    for _ in range(2):
        with database.read() as connection:
            known = find_by_name(connection, name)
        if known is not None:
            return known
        try:
            with database.write() as connection:
                connection.execute(insert(Workshop).values(id=new_id(), name=name, created_at=now, **QUOTAS))
        except IntegrityError:
            continue  # another process was quicker
    with database.read() as connection:
        return connection.execute(select(Workshop.id).where(Workshop.name == name)).scalar_one()
