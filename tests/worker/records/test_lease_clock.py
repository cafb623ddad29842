"""Leases run out by a clock that nobody moves by hand: whoever puts the wall clock forward or back loses nothing."""

import time
from pathlib import Path

import pytest
from sqlalchemy import text

from worker.records import claiming, ending, lease_clock, leases, outbox, webhook_outbox, workshops
from worker.records.claiming import Claimant
from worker.records.database import Database
from worker.records.lease_clock import Anchor
from worker.records.migrate import migrate
from worker.records.plan_claims import PLANS
from worker.records.submitting import Submission, submit

LEASE, ATTEMPTS = 10.0, 3
REAL_TIME = time.time


@pytest.fixture
def plan(database):
    return submitted(database)


@pytest.fixture
def sqlite(tmp_path):
    made = Database(f"sqlite:///{tmp_path / 'records.sqlite'}")
    migrate(made)
    yield made
    made.close()


def submitted(database):
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        return submit(connection, workshop, Submission("{}", "t", 5.0, "small"), time.time()).id


def move_wall_clock(monkeypatch, seconds):
    monkeypatch.setattr("time.time", lambda: REAL_TIME() + seconds)


def claim(database, plan, later=0.0):
    """As another worker would, `later` seconds on."""
    with database.write() as connection:
        now = database.lease_clock.now(connection) + later
        return claiming.claim(connection, PLANS, plan, Claimant("w", LEASE, ATTEMPTS), now, time.time())


@pytest.mark.parametrize("hours", [1, -1])
def test_a_moved_wall_clock_takes_no_plan_away(database, plan, monkeypatch, hours):
    """The lease still holds, is still renewed, and still runs out when its worker falls silent."""
    mine = claim(database, plan)
    move_wall_clock(monkeypatch, hours * 3600)
    other = Database(database.url.render_as_string(hide_password=False))  # a process that starts only now
    assert claim(other, plan) is None
    with other.read() as connection:
        now = other.lease_clock.now(connection)
        assert [*outbox.fresh(connection, now), *outbox.lost(connection, now, 5.0, frozenset({"small"}))] == []
    with database.write() as connection:
        assert leases.renew(connection, mine.fence, database.lease_clock.now(connection), LEASE)
    assert claim(other, plan, later=LEASE - 1) is None
    assert claim(other, plan, later=LEASE + 1).fence.attempt == 2
    other.close()


def test_a_new_start_of_the_machine_ends_all_leases(sqlite, monkeypatch, tmp_path):
    """Also where its wall clock comes up an hour behind: nobody of before lives."""
    plan = submitted(sqlite)
    assert claim(sqlite, plan) is not None
    boot = tmp_path / "boot_id"
    boot.write_text("another start\n")
    monkeypatch.setattr(lease_clock, "_BOOT", boot)
    move_wall_clock(monkeypatch, -3600)
    after = Database(sqlite.url.render_as_string())
    assert claim(after, plan).fence.attempt == 2
    after.close()


def test_a_new_start_of_the_machine_frees_receivers(sqlite, monkeypatch, tmp_path):
    """Of webhooks, with a message on its way as it went down: they do not wait for the hour to come again."""
    workshop = workshops.ensure(sqlite, "willow", 0.0)
    with sqlite.write() as connection:
        webhook = webhook_outbox.add_webhook(connection, workshop, "https://192.31.196.1/", "derived:x", 0.0)
        plan = submit(connection, workshop, Submission("{}", "t", 5.0, "small"), 1.0)
        ending.cancel(connection, "plan", plan.id, 100.0)
        assert webhook_outbox.take(connection, webhook, sqlite.lease_clock.now(connection), 120.0)
    boot = tmp_path / "boot_id"
    boot.write_text("another start\n")
    monkeypatch.setattr(lease_clock, "_BOOT", boot)
    move_wall_clock(monkeypatch, -3600)
    after = Database(sqlite.url.render_as_string())
    with after.read() as connection:
        assert webhook_outbox.due(connection, after.lease_clock.now(connection))
    after.close()


@pytest.mark.parametrize("written", ["", "{", '{"boot": "x"}', "[1]"])
def test_a_half_written_anchor_is_made_anew(sqlite, written):
    """As after a power cut."""
    file = Path(f"{sqlite.url.database}-clock")
    file.write_text(written)
    again = Database(sqlite.url.render_as_string())
    with again.read() as connection:
        assert again.lease_clock.now(connection) == pytest.approx(time.time(), abs=5)
    assert lease_clock._read(file.read_text()) is not None
    again.close()


def test_an_anchor_of_before_does_not_hold():
    """Another start, or fewer seconds since the start than when it was made (where starts have no name)."""
    anchor = Anchor("one", 100.0, 1.0)
    assert anchor.holds("one", 100.0)
    assert not anchor.holds("two", 200.0)
    assert not anchor.holds("one", 99.0)


def test_postgresql_tells_the_time_itself(postgres_url, monkeypatch):
    """Of the moment, not of the transaction's beginning, whatever this machine's clock says."""
    database = Database(postgres_url)
    move_wall_clock(monkeypatch, 3600)
    with database.read() as connection:
        began = database.lease_clock.now(connection)
        connection.execute(text("SELECT pg_sleep(0.05)"))
        assert database.lease_clock.now(connection) >= began + 0.05
        assert began == pytest.approx(REAL_TIME(), abs=5)
    database.close()
