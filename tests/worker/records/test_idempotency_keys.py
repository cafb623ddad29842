"""First answers are kept and given again, on both databases."""

import threading

from worker.records import idempotency_keys, workshops


def test_first_then_the_same_again(database):
    """The first request finds nothing; the second finds what the first kept."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        assert idempotency_keys.begin(connection, workshop, "k", "d1", 1.0) is None
        idempotency_keys.keep(connection, workshop, "k", 202, "{}", "body")
    with database.write() as connection:
        earlier = idempotency_keys.begin(connection, workshop, "k", "d2", 2.0)
        assert (earlier.request_sha256, earlier.status, earlier.body) == ("d1", 202, "body")


def test_two_at_once_are_one(database):
    """The second waits for the first and gets its answer."""
    workshop = workshops.ensure(database, "willow", 0.0)
    acted, seen = [], []

    def ask():
        with database.write() as connection:
            earlier = idempotency_keys.begin(connection, workshop, "k", "d", 1.0)
            if earlier is None:
                acted.append(1)
                idempotency_keys.keep(connection, workshop, "k", 202, "{}", "body")
            else:
                seen.append(earlier.status)

    threads = [threading.Thread(target=ask) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert (len(acted), seen) == (1, [202] * 5)


def test_a_failed_request_leaves_no_answer(database):
    """What was rolled back may be asked again."""
    workshop = workshops.ensure(database, "willow", 0.0)
    try:
        with database.write() as connection:
            idempotency_keys.begin(connection, workshop, "k", "d", 1.0)
            raise KeyError
    except KeyError:
        pass
    with database.write() as connection:
        assert idempotency_keys.begin(connection, workshop, "k", "d", 1.0) is None


def test_after_a_day_the_key_is_free_again(database):
    """Answers are not kept for ever."""
    workshop = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        idempotency_keys.begin(connection, workshop, "k", "d", 1.0)
    with database.write() as connection:
        assert idempotency_keys.begin(connection, workshop, "k", "d", 2.0 + idempotency_keys.KEPT) is None
