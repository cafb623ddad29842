"""A worker says that it is there, says goodbye, and is not kept from ending by saying so."""

import subprocess
import sys
import time

from tests.live_service import waited
from worker.queue.presence import Presence
from worker.records import health


def test_a_worker_is_counted_from_its_beginning_to_its_goodbye(database):
    def there() -> int:
        with database.read() as connection:
            return health.counts(connection, database.lease_clock.now(connection)).workers

    presence = Presence(database, "w1", "small")
    presence.start()
    waited(lambda: there() == 1, 20)
    begun = time.monotonic()
    presence.stop()
    assert there() == 0
    assert time.monotonic() - begun < health.SILENT / 5, "it does not wait for its next turn"


def test_it_says_so_five_times_before_it_would_be_taken_for_gone(database, monkeypatch):
    presence = Presence(database, "w1", "small")
    waits: list[float] = []

    def wait(seconds: float) -> None:
        waits.append(seconds)
        if len(waits) == 3:
            presence._ended.set()

    monkeypatch.setattr(presence._ended, "wait", wait)
    presence._run()
    assert waits == [health.SILENT / 5] * 3


ENDS = """
import sys
from worker.queue.presence import Presence
from worker.records.database import Database
from worker.records.migrate import migrate
database = Database(sys.argv[1])
migrate(database)
Presence(database, "w1", "small").start()
print("ends")
"""


def test_a_process_that_ends_without_a_goodbye_does_end(tmp_path):
    done = subprocess.run(
        [sys.executable, "-c", ENDS, f"sqlite:///{tmp_path / 'records.sqlite'}"],
        capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    assert (done.stdout, done.returncode) == ("ends\n", 0), done.stderr
