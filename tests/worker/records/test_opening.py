"""Opening the records: the folder they lie in is made where it is not there, and found again."""

import stat

import pytest

from worker.records import workshops
from worker.records.opening import RecordsUnusable, _bring_up_to_date, open_records
from worker.settings import Settings


def test_a_data_folder_is_made_with_those_it_lies_in(tmp_path) -> None:
    """`SHOT_TO_SHIP_DATA=of/ours/data` in an empty place; only its owner may look in, and what was written stays."""
    folder = tmp_path / "of" / "ours" / "data"
    for _ in range(2):
        database = open_records(Settings(data=folder))
        workshop = workshops.ensure(database, "willow", 0.0)
        database.close()
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    database = open_records(Settings(data=folder))
    with database.read() as connection:
        assert workshops.find_by_name(connection, "willow") == workshop
        assert workshops.find_by_name(connection, "hazel") is None
    database.close()


def test_a_file_where_the_folder_should_be_is_said(tmp_path) -> None:
    """Not a traceback."""
    (tmp_path / "data").write_text("a note")
    with pytest.raises(RecordsUnusable, match="data"):
        open_records(Settings(data=tmp_path / "data"))


def test_the_folder_is_made_also_where_the_records_lie_elsewhere(database, tmp_path) -> None:
    """Those of PostgreSQL do not make it; processes that start together take turns by a lock in it."""
    _bring_up_to_date(database, tmp_path / "of" / "ours")
    assert (tmp_path / "of" / "ours" / "upgrade.lock").exists()
