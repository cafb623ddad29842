"""Whether a worker of this machine was heard of: what whoever watches a container goes by."""

import socket

from worker import alive
from worker.records import health
from worker.records.opening import open_records
from worker.settings import Settings


def test_it_ends_with_nought_only_where_a_worker_of_this_machine_was_heard_of(tmp_path, monkeypatch):
    """None yet, one of another machine, one of this, which then says that it goes."""
    monkeypatch.setenv("SHOT_TO_SHIP_DATA", str(tmp_path))
    host = socket.gethostname()
    database = open_records(Settings(data=tmp_path))

    def say(call, name, *more):
        with database.write() as connection:
            call(connection, name, *more)

    def now():
        with database.read() as connection:
            return database.lease_clock.now(connection)

    assert alive.main() == 1
    say(health.say_here, f"worker1@{host}-too:7", "small", now())
    assert alive.main() == 1
    say(health.say_here, f"worker1@{host}:8", "small", now())
    assert alive.main() == 0
    say(health.say_gone, f"worker1@{host}:8")
    assert alive.main() == 1
    database.close()
