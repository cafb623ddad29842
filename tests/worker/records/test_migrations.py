"""The migrations and the tables say the same, on both databases."""

import threading

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext

from worker.records.database import Database
from worker.records.migrate import migrate
from worker.records.tables import Table


def test_the_migrations_lead_to_the_tables(database):
    """Whoever changes a table and forgets the migration fails here."""
    with database.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Table.metadata) == []


def test_migrating_twice_and_at_once_is_migrating_once(database_url):
    """Several processes start together on an empty database."""
    errors = []

    def start():
        database = Database(database_url)
        try:
            migrate(database)
        except Exception as error:
            errors.append(error)
        finally:
            database.close()

    threads = [threading.Thread(target=start) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert errors == []
