"""Back-ups from a shell: without records it says so and writes nothing, with records a file comes of it, and brought
back it is what was there."""

import argparse
import fcntl
import shutil

import pytest

from api.serving import backups
from worker.settings import Settings


def test_only_records_that_are_there_are_backed_up(tmp_path, empty_records, capsys) -> None:
    settings, file = Settings(data=tmp_path / "data"), tmp_path / "kept.backup"
    (tmp_path / "data").mkdir()
    asked = argparse.Namespace(do="backup", file=file)
    with pytest.raises(SystemExit, match="there are no records"):
        backups.run(settings, asked)
    assert not file.exists()
    shutil.copyfile(empty_records, tmp_path / "data" / "records.sqlite")
    backups.run(settings, asked)
    assert file.stat().st_size > 0
    assert capsys.readouterr().out == f"written: {file}\n"


def test_a_backup_is_brought_back_into_a_new_folder_and_into_one_in_use(tmp_path, empty_records, capsys) -> None:
    """Where records were, they are kept beside it, and the words say where."""
    asked = argparse.Namespace(do="backup", file=tmp_path / "kept.backup")
    first = Settings(data=tmp_path / "data")
    (tmp_path / "data").mkdir()
    shutil.copyfile(empty_records, tmp_path / "data" / "records.sqlite")
    backups.run(first, asked)
    capsys.readouterr()
    back = argparse.Namespace(do="restore", file=asked.file)
    backups.run(Settings(data=tmp_path / "deep" / "new"), back)
    assert capsys.readouterr().out == f"brought back: {asked.file}\n"
    assert (tmp_path / "deep" / "new" / "records.sqlite").exists()
    assert (tmp_path / "deep" / "new").stat().st_mode & 0o077 == 0
    backups.run(first, back)
    said = capsys.readouterr().out
    assert said.startswith(f"brought back: {asked.file}; what was there is in {tmp_path / 'data'}")


def test_nothing_is_brought_back_while_the_service_runs(tmp_path, empty_records) -> None:
    """It holds a lock in its folder; a file that is not there is named."""
    settings = Settings(data=tmp_path / "data")
    (tmp_path / "data").mkdir()
    shutil.copyfile(empty_records, tmp_path / "data" / "records.sqlite")
    missing = argparse.Namespace(do="restore", file=tmp_path / "none.backup")
    with (tmp_path / "data" / "served.lock").open("a+") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        with pytest.raises(SystemExit, match="the service runs on this folder: end it first"):
            backups.run(settings, missing)
    with pytest.raises(SystemExit, match="there is no file"):
        backups.run(settings, missing)
