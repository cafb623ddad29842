"""Backups of the records: one consistent file, written while the service runs; and bringing one back.

SQLite's own online backup, and PostgreSQL's own programs. Copying the file of a running service is no backup: what was
written last is in another file beside it.
"""

import os
import shutil
import sqlite3
import subprocess
import time
from pathlib import Path

from worker.records.database import Database
from worker.records.migrate import known_revisions, newest


class NoBackup(ValueError):
    """It could not be made or brought back; says why. Nothing was changed."""


class NoProgram(NoBackup):
    """PostgreSQL's own program is not on this machine."""


def write(database: Database, to: Path) -> None:
    """Write a backup that nobody but its owner can read. Raises NoBackup, also where the file is there already."""
    if to.exists():
        raise NoBackup(f"{to} is there already: name another file")
    being_made = to.with_name(f".{to.name}.{os.getpid()}")
    try:
        being_made.touch(mode=0o600)
        if database.is_sqlite:
            _copy(Path(str(database.url.database)), being_made)
            _check(being_made, to)
        else:
            _postgres(database, "pg_dump", "--format=custom", f"--file={being_made}")
        being_made.rename(to)
    except OSError as error:
        raise NoBackup(f"{to} cannot be written: {error.strerror or error}") from None
    except sqlite3.Error as error:
        raise NoBackup(f"the records cannot be read: {error}") from None
    finally:
        being_made.unlink(missing_ok=True)


def restore(database: Database, source: Path) -> Path | None:
    """Bring a backup back; the service must not run. Raises NoBackup before anything is changed.

    Gives where the records that were there are kept (SQLite); None where there were none, or for PostgreSQL.
    """
    if not source.is_file():
        raise NoBackup(f"there is no file {source}")
    if not database.is_sqlite:
        _postgres(database, "pg_restore", "--list", str(source))  # it can be read at all
        _postgres(
            database, "pg_restore", "--clean", "--if-exists", "--no-owner", "--single-transaction", "--exit-on-error",
            f"--dbname={_plain(database)}", str(source),
        )  # fmt: skip
        return None
    here = Path(str(database.url.database))
    fresh = here.with_name(f".{here.name}.{os.getpid()}")
    try:
        _check(source)
        fresh.touch(mode=0o600)
        _copy(source, fresh)
        _check(fresh, source)
        kept = _put_aside(here)
        fresh.rename(here)
        return kept
    except OSError as error:
        raise NoBackup(f"{here} cannot be written: {error.strerror or error}") from None
    except sqlite3.Error as error:
        raise NoBackup(f"{source} is no backup of the records, or is damaged: {error}") from None
    finally:
        fresh.unlink(missing_ok=True)


def _put_aside(here: Path) -> Path | None:
    """The records that are there, whole in one file of another name."""
    if not here.exists():
        return None
    kept = here.with_name(f"{here.name}.before-restore-{time.strftime('%Y%m%d-%H%M%S', time.gmtime())}")
    kept.touch(mode=0o600)
    try:
        _copy(here, kept)
    except sqlite3.Error:
        shutil.copyfile(here, kept)  # damaged, which may be why a backup is brought back: kept as it is
    for file in (here, here.with_name(here.name + "-wal"), here.with_name(here.name + "-shm")):
        file.unlink(missing_ok=True)
    return kept


def _copy(source: Path, to: Path) -> None:
    reading = sqlite3.connect(f"file:{source}?mode=ro", uri=True, timeout=30)
    try:
        writing = sqlite3.connect(to)
        try:
            reading.backup(writing)
            writing.execute("PRAGMA journal_mode=DELETE")  # one file, nothing beside it
        finally:
            writing.close()
    finally:
        reading.close()


def _check(file: Path, called: Path | None = None) -> None:
    """Raises NoBackup or sqlite3.Error unless the file is whole and of a version that is understood here. called: what
    whoever asked knows it by."""
    called = called or file
    connection = sqlite3.connect(f"file:{file}?mode=ro", uri=True)
    try:
        said = connection.execute("PRAGMA integrity_check").fetchone()[0]
        if said != "ok":
            raise NoBackup(f"{called} is damaged: {said}")
        try:
            (revision,) = connection.execute("SELECT version_num FROM alembic_version").fetchone() or ("",)
        except sqlite3.OperationalError:
            raise NoBackup(f"{called} is no backup of the records") from None
        if revision not in known_revisions():
            raise NoBackup(
                f"{called} was written by a newer version (schema {revision}; this one knows up to {newest()}): "
                "bring it back with that one"
            )
    finally:
        connection.close()


def _plain(database: Database) -> str:
    """The address as PostgreSQL's programs take it, without the password, which they are told by the environment."""
    return database.url.set(drivername="postgresql", password=None).render_as_string()


def _postgres(database: Database, program: str, *arguments: str) -> None:
    if shutil.which(program) is None:
        raise NoProgram(f"{program} is not on this machine's PATH (Debian: apt install postgresql-client)")
    password = {} if database.url.password is None else {"PGPASSWORD": str(database.url.password)}
    where = () if program == "pg_restore" else (_plain(database),)
    done = subprocess.run(
        [program, *arguments, *where], env=os.environ | password, capture_output=True, text=True, check=False
    )
    if done.returncode != 0:
        raise NoBackup(f"{program} says: {done.stderr.strip() or done.returncode}")
