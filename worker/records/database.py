"""Connections to the database: short transactions, one writer at a time on SQLite."""

import os
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from functools import partial
from pathlib import Path
from typing import Any
from weakref import WeakSet

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url
from sqlalchemy.exc import OperationalError

from worker.records.group_commit import Act, GroupCommit, Item, Made, TooMany
from worker.records.lease_clock import LeaseClock
from worker.records.sqlite_write_lock import MOST_WAITING, PATIENCE, SqliteWriteLock, TookTooLong

_ALL: "WeakSet[Database]" = WeakSet()
SERVER_PATIENCE: dict[str, int] = {
    "connect_timeout": 5,
    "keepalives_idle": 30,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 20_000,
}
"""libpq's own, in seconds but the last, which is milliseconds: a database server that is not heard of is away. Without
them a connection is waited for over two minutes, and one whose server lost its power for hours."""


class Gate:
    """Open to any number of threads at once, until somebody closes it and waits for all to leave."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._inside = 0
        self._closed = False

    def __enter__(self) -> None:
        with self._changed:
            self._changed.wait_for(lambda: not self._closed)
            self._inside += 1

    def __exit__(self, *_: object) -> None:
        with self._changed:
            self._inside -= 1
            self._changed.notify_all()

    def close(self) -> None:
        with self._changed:
            self._closed = True
            self._changed.wait_for(lambda: self._inside == 0)

    def open(self) -> None:
        with self._changed:
            self._closed = False
            self._changed.notify_all()


class Database:
    """Hands out transactions, also across forks: no connection is open while one happens, so none is shared."""

    def __init__(self, url: str) -> None:
        self.url = make_url(url)
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        if self.is_sqlite and self.url.database:
            Path(self.url.database).parent.mkdir(parents=True, exist_ok=True)
        file = Path(self.url.database) if self.is_sqlite and self.url.database else None
        self.lease_clock = LeaseClock(file and file.with_name(f"{file.name}-clock"))
        self._begin_afresh()
        _ALL.add(self)

    def _begin_afresh(self) -> None:
        self._engine: Engine | None = None
        self._making = threading.Lock()
        self._gate = Gate()
        # SQLite has one writer anyway; waiting here, in turn, is far quicker than its busy loop.
        self._write_lock = SqliteWriteLock(Path(self.url.database)) if self.is_sqlite and self.url.database else None
        self._group_commit = GroupCommit(MOST_WAITING)

    @property
    def engine(self) -> Engine:
        with self._making:
            if self._engine is None:
                self._engine = self._make()
            return self._engine

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that only reads."""
        with self._gate, self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def write(self, patience: float = PATIENCE) -> Iterator[Connection]:
        """A transaction that may write; committed at the end, rolled back on any exception.

        patience: seconds to wait for the turn to write. Raises OperationalError where it does not come.
        """
        with ExitStack() as held:
            held.enter_context(self._gate)
            if self._write_lock is not None:
                try:
                    held.enter_context(self._write_lock.held(patience))
                except TookTooLong as error:
                    # As a database says it that is locked for too long: whoever copes with that copes with this.
                    raise OperationalError("waiting for the turn to write", None, error) from None
            connection = held.enter_context(self.engine.connect()).execution_options(writes=True)
            with connection.begin():
                yield connection

    def write_in_group(self, act: Act[Item, Made], item: Item) -> Made:
        """What a small write gives, committed; those that come at once share a transaction, see `GroupCommit`.

        act: writes all items of a kind. It is begun anew where another of them failed, so what it does beside the
        records must bear that. Raises what it raises, and OperationalError where the turn to write does not come.
        """
        try:
            return self._group_commit.write(act, item, self.write, PATIENCE)
        except TooMany as error:
            raise OperationalError("waiting for others to write", None, error) from None

    def close(self) -> None:
        """Give the connections back."""
        with self._making:
            if self._engine is not None:
                self._engine.dispose()
            self._engine = None
        if self._write_lock is not None:
            self._write_lock.close()

    def before_fork(self) -> None:
        """Wait until nobody is in a transaction, let nobody in, and close every connection."""
        self._gate.close()
        self.close()

    def after_fork(self, in_child: bool) -> None:
        """Let them in again. In the child the other threads are gone, whatever they held."""
        if in_child:
            self._begin_afresh()
        else:
            self._gate.open()

    def _make(self) -> Engine:
        if not self.is_sqlite:
            return create_engine(
                self.url, pool_size=10, max_overflow=30, pool_pre_ping=True, connect_args=SERVER_PATIENCE
            )
        engine = create_engine(self.url, pool_size=10, max_overflow=40, connect_args={"timeout": 10})
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
        return engine


def _prepare_sqlite(connection: Any, _record: object) -> None:
    # The driver's own transaction handling begins late, which lets a read grow into a write and fail.
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA journal_mode=WAL")
    # FULL: what was answered with 202 is on the disk, also when the power goes.
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=ON")
    cursor.close()


def _begin_sqlite(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


# A worker forks a new child whenever one ended, while its other threads use the records. A child that inherits a
# SQLite connection in the middle of a transaction finds the database locked for ever; one that inherits a PostgreSQL
# connection ends its parent's when it closes its own.
def _before_fork() -> None:
    for database in list(_ALL):
        database.before_fork()


def _after_fork(in_child: bool) -> None:
    for database in list(_ALL):
        database.after_fork(in_child)


os.register_at_fork(
    before=_before_fork, after_in_parent=partial(_after_fork, False), after_in_child=partial(_after_fork, True)
)
