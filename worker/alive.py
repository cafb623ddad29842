"""python -m worker.alive: whether a worker of this machine (its host name) was heard of lately; 1 if none was.

For whoever watches containers. Loads nothing of the planner: it is asked every half minute.
"""

import socket
import sys

from sqlalchemy import select

from worker.records import health
from worker.records.database import Database
from worker.records.tables import Worker
from worker.settings import Settings


def heard_of(database: Database, host: str) -> bool:
    """Whether a worker on that host has said within the last seconds that it is there."""
    with database.read() as connection:
        now = database.lease_clock.now(connection)
        names = connection.execute(select(Worker.id).where(Worker.seen_at >= now - health.SILENT)).scalars()
        return any(name.partition("@")[2].rpartition(":")[0] == host for name in names)


def main() -> int:
    database = Database(Settings.from_environment().database)
    try:
        return 0 if heard_of(database, socket.gethostname()) else 1
    finally:
        database.close()


if __name__ == "__main__":
    sys.exit(main())
