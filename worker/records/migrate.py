"""Bring the database to the newest schema, from wherever it stands."""

from pathlib import Path

from alembic import command
from alembic.config import Config
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


def configuration(connection: Connection) -> Config:
    """Alembic's settings for this connection."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).with_name("migrations")))
    config.attributes["connection"] = connection
    return config
