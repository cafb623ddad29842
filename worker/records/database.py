"""Connections to the database: short transactions, one writer at a time on SQLite."""

import os
import threading
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import make_url


class Database:
    """Hands out transactions. Safe to create before a fork: each process makes its own engine."""

    def __init__(self, url: str) -> None:
        self.url = make_url(url)
        self.is_sqlite = self.url.get_backend_name() == "sqlite"
        self._engine: Engine | None = None
        self._owner = 0
        self._making = threading.Lock()
        # SQLite has one writer anyway; waiting here, in turn, is far quicker than its busy loop.
        self._writing: Any = threading.Lock() if self.is_sqlite else nullcontext()

    @property
    def engine(self) -> Engine:
        with self._making:
            if self._engine is None or self._owner != os.getpid():
                self._engine, self._owner = self._make(), os.getpid()
                if self.is_sqlite:
                    self._writing = threading.Lock()
            return self._engine

    @contextmanager
    def read(self) -> Iterator[Connection]:
        """A transaction that only reads."""
        with self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def write(self) -> Iterator[Connection]:
        """A transaction that may write; committed at the end, rolled back on any exception."""
        engine = self.engine
        with self._writing, engine.connect() as connection:
            connection = connection.execution_options(writes=True)
            with connection.begin():
                yield connection

    def close(self) -> None:
        """Give the connections back."""
        with self._making:
            if self._engine is not None and self._owner == os.getpid():
                self._engine.dispose()
            self._engine = None

    def _make(self) -> Engine:
        if not self.is_sqlite:
            return create_engine(self.url, pool_size=10, max_overflow=30, pool_pre_ping=True)
        if self.url.database:
            Path(self.url.database).parent.mkdir(parents=True, exist_ok=True)
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
