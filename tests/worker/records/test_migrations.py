"""The migrations and the tables say the same, on both databases."""

import threading

from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text

from worker.records.database import Database
from worker.records.migrate import configuration, known_revisions, migrate, newest, revision_of
from worker.records.tables import Table


def test_the_migrations_lead_to_the_tables(database):
    """Whoever changes a table and forgets the migration fails here."""
    with database.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Table.metadata) == []


def test_what_the_files_are_named_is_what_alembic_reads(database):
    """Where the records stand is asked at every start, without the library."""
    with database.read() as connection:
        scripts = ScriptDirectory.from_config(configuration(connection))
        read = MigrationContext.configure(connection).get_current_revision()
    assert known_revisions() == {script.revision for script in scripts.walk_revisions()}
    assert newest() == scripts.get_current_head() == read == revision_of(database)


def test_migrating_twice_and_at_once_is_migrating_once(database_url):
    """Several processes start together on an empty database."""
    empty = Database(database_url)
    assert revision_of(empty) is None
    empty.close()
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
    database = Database(database_url)
    with database.read() as connection:
        assert compare_metadata(MigrationContext.configure(connection), Table.metadata) == []
    database.close()


def test_a_workshop_and_its_plan_live_through_every_migration(database_url):
    """Filled as of the first schema, brought to the newest: rows, and what belongs to them, are still there."""
    database = Database(database_url)
    with database.write() as connection:
        command.upgrade(configuration(connection), "0001")
    rows = [
        "INSERT INTO workshops VALUES ('w', 'willow', 1.0, 100, 10, 3, 1000)",
        "INSERT INTO campaigns VALUES ('c', 'w', 'x', '{}', 1.0)",
        "INSERT INTO plans (id, workshop_id, campaign_id, title, queue, budget, revision, edition, last_event, status,"
        " attempt, losses, stop_requested, created_at)"
        " VALUES ('p', 'w', 'c', 't', 'small', 5.0, 1, 1, 0, 'queued', 0, 0, false, 1.0)",
        "INSERT INTO events VALUES ('p', 1, 'queued', '{}', 1.0)",
    ]
    with database.write() as connection:
        for row in rows:
            connection.execute(text(row))
    migrate(database)
    with database.read() as connection:
        assert connection.execute(text("SELECT max_cores, stored_bytes FROM workshops")).one() == (6, 2)
        assert connection.execute(text("SELECT id, cores FROM plans")).all() == [("p", 0)]
        assert connection.execute(text("SELECT count(*) FROM events")).scalar_one() == 1
    database.close()
