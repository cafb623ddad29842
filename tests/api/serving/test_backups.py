"""Back-ups from a shell: without records it says so and writes nothing, with records a file comes of it."""

import argparse
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
