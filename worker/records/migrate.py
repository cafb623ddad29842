"""Bring the database to the newest schema, from wherever it stands."""

from functools import cache
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, text

from worker.records.database import Database

# Any number will do as long as it is ours: PostgreSQL's lock that lets one process migrate at a time.
_MIGRATION_LOCK = 7_310_559


def migrate(database: Database) -> None:
    """Apply every migration not yet applied. Safe when several processes start at once."""
    with database.write() as connection:
        if not database.is_sqlite:
            connection.execute(text("SELECT pg_advisory_xact_lock(:n)"), {"n": _MIGRATION_LOCK})
        command.upgrade(configuration(connection), "head")


class UnknownRevision(Exception):
    """The records have a schema that this version does not know: they were written by a newer one."""


def revision_of(database: Database) -> str | None:
    """The schema the records have; None where there are none yet."""
    with database.read() as connection:
        return MigrationContext.configure(connection).get_current_revision()


def known_revisions() -> set[str]:
    """Every schema that this version can start from."""
    return {script.revision for script in _scripts().walk_revisions()}


@cache
def newest() -> str:
    """The schema this version works with."""
    return str(_scripts().get_current_head())


def _scripts() -> ScriptDirectory:
    return ScriptDirectory(str(Path(__file__).with_name("migrations")))


def configuration(connection: Connection) -> Config:
    """Alembic's settings for this connection."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).with_name("migrations")))
    config.attributes["connection"] = connection
    return config
