"""A worker forks children while its other threads use the records."""

import multiprocessing
import threading
import time

from sqlalchemy import text

from tests.live_service import waited
from worker.records import workshops


def test_a_child_forked_in_the_middle_of_a_transaction_can_write(database):
    """Six forks while threads write without pause: every child writes, and so do the threads afterwards."""
    over = threading.Event()
    errors, written = [], []

    def keep_writing():
        while not over.is_set():
            try:
                with database.write() as connection:
                    connection.execute(text("UPDATE workshops SET max_bytes = max_bytes + 1 WHERE name = 'parent'"))
                    time.sleep(0.02)
                written.append(1)
            except Exception as error:
                errors.append(error)

    def child(number):
        workshops.ensure(database, f"child {number}", 0.0)

    workshops.ensure(database, "parent", 0.0)
    threads = [threading.Thread(target=keep_writing) for _ in range(3)]
    for thread in threads:
        thread.start()
    fork = multiprocessing.get_context("fork")
    children = [fork.Process(target=child, args=(number,)) for number in range(6)]
    for process in children:
        seen = len(written)
        process.start()
        waited(lambda seen=seen: len(written) > seen, 20)
    for process in children:
        process.join(20)
    before = len(written)
    waited(lambda: len(written) > before, 20)
    over.set()
    for thread in threads:
        thread.join()
    assert [process.exitcode for process in children] == [0] * 6
    assert errors == []
    assert len(written) > before
