"""Alembic runs this; the connection and its transaction come from worker.records.migrate."""

from alembic import context

from worker.records.tables import Table

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Table.metadata,
    render_as_batch=True,
    transactional_ddl=False,  # the caller's transaction holds everything
)
context.run_migrations()
