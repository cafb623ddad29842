"""A workshop's purge log: full at its own bound, read newest first page by page, and nobody else's business."""

import json

import pytest

from worker.records import purge_log, workshops
from worker.records.submitting import TooManyBytes


def test_each_workshop_has_a_log_of_its_own_to_fill(database, monkeypatch):
    """The bound counts a workshop's own entries: another's full log takes no room from it."""
    monkeypatch.setattr(purge_log, "MOST_ENTRIES", 3)
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        for n in range(3):
            purge_log.add(connection, willow, json.dumps({"n": n}), float(n))
        with pytest.raises(TooManyBytes, match="holds 3 entries"):
            purge_log.add(connection, willow, "{}", 9.0)
        for n in range(3):
            purge_log.add(connection, alder, "{}", float(n))
        with pytest.raises(TooManyBytes):
            purge_log.add(connection, alder, "{}", 9.0)
        assert len(purge_log.page(connection, willow, 9)) == len(purge_log.page(connection, alder, 9)) == 3


def test_pages_go_from_the_newest_to_the_oldest_and_leave_none_out(database):
    """Entries of one moment among them."""
    willow = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        written = [purge_log.add(connection, willow, str(n), when) for n, when in enumerate((1.0, 2.0, 2.0, 2.0, 3.0))]
        assert purge_log.page(connection, willow, 1) == [written[-1]]
        seen, before = [], None
        while page := purge_log.page(connection, willow, 2, before):
            assert len(page) <= 2
            seen += page
            before = page[-1].created_at, page[-1].id
    assert [row.created_at for row in seen] == [3.0, 2.0, 2.0, 2.0, 1.0]
    assert {row.id for row in seen} == {row.id for row in written}
    assert len(seen) == len(written)


def test_an_entry_is_found_and_corrected_by_its_own_workshop_alone(database):
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        one, other = (purge_log.add(connection, willow, text, 1.0) for text in ("one", "other"))
        assert purge_log.find(connection, willow, one.id) == one
        assert purge_log.find(connection, alder, one.id) is None
        purge_log.rewrite(connection, alder, one.id, "theirs")
        purge_log.rewrite(connection, willow, other.id, "corrected")
        assert purge_log.find(connection, willow, one.id) == one
        found = purge_log.find(connection, willow, other.id)
        assert found is not None
        assert (found.entry, found.created_at) == ("corrected", 1.0)
