"""./run backup FILE | restore FILE: the records as one file, and back."""

import argparse
import fcntl
import sys
from pathlib import Path

from worker.records import backup
from worker.records.database import Database
from worker.records.opening import open_records
from worker.settings import Settings


def add_options(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """The two commands."""
    for name, words in (("backup", "write one consistent file of all records"), ("restore", "bring a backup back")):
        commands.add_parser(name, help=words).add_argument("file", type=Path)


def run(settings: Settings, given: argparse.Namespace) -> None:
    """Do it; ends with a sentence where it cannot be done. Raises RecordsUnusable."""
    try:
        if given.do == "backup":
            database = Database(settings.database)
            if database.is_sqlite and not Path(str(database.url.database)).exists():
                raise backup.NoBackup(f"there are no records at {database.url.database}")
            backup.write(database, given.file.absolute())
            print(f"written: {given.file}")
        else:
            _restore(settings, given.file.absolute())
    except backup.NoBackup as error:
        sys.exit(str(error))


def _restore(settings: Settings, file: Path) -> None:
    settings.data.mkdir(parents=True, exist_ok=True, mode=0o700)
    with (settings.data / "served.lock").open("a+") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise backup.NoBackup("the service runs on this folder: end it first") from None
        database = Database(settings.database)
        kept = backup.restore(database, file)
        database.close()
        open_records(settings).close()
    print(f"brought back: {file}" + (f"; what was there is in {kept}" if kept else ""))
