"""Bring the database to the newest schema, from wherever it stands.

Every process asks at its start where the records stand, and hardly one has to change them: what asks knows the
migrations by the names of their files, and only what migrates loads the library for it.
"""

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Connection, inspect, text

from worker.records.database import Database

if TYPE_CHECKING:
    from alembic.config import Config

_MIGRATIONS = Path(__file__).with_name("migrations")

# Any number will do as long as it is ours: PostgreSQL's lock that lets one process migrate at a time.
_MIGRATION_LOCK = 7_310_559


def migrate(database: Database) -> None:
    """Apply every migration not yet applied. Safe when several processes start at once."""
    from alembic import command

    with database.write() as connection:
        if not database.is_sqlite:
            connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": _MIGRATION_LOCK})
        command.upgrade(configuration(connection), "head")


class UnknownRevision(Exception):
    """The records have a schema that this version does not know: they were written by a newer one."""


def revision_of(database: Database) -> str | None:
    """The schema the records have; None where there are none yet."""
    with database.read() as connection:
        if not inspect(connection).has_table("alembic_version"):
            return None
        return connection.execute(text("SELECT version_num FROM alembic_version")).scalar_one_or_none()


@cache
def known_revisions() -> frozenset[str]:
    """Every schema that this version can start from: each migration's file is named by its own."""
    return frozenset(file.name.partition("_")[0] for file in (_MIGRATIONS / "versions").glob("[0-9]*_*.py"))


def newest() -> str:
    """The schema this version works with."""
    return max(known_revisions())


def configuration(connection: Connection) -> "Config":
    """Alembic's settings for this connection."""
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS))
    config.attributes["connection"] = connection
    return config
