"""What is counted of plans: in the first bucket that is large enough, and in all."""

from worker.records import counters
from worker.records.counters import BUCKETS, SOLVE_SECONDS


def test_a_duration_is_counted_in_the_first_bucket_that_holds_it(database):
    """One at a bound is in its bucket, one above it in the next, one above all in the last."""
    first, second, *_ = BUCKETS[SOLVE_SECONDS]
    above = 2 * max(BUCKETS[SOLVE_SECONDS])
    with database.write() as connection:
        for seconds in (first, (first + second) / 2, above):
            counters.solved(connection, seconds, None)
        assert counters.read(connection, SOLVE_SECONDS) == {f"{first:g}": 1, f"{second:g}": 1, "+Inf": 1}
        assert counters.read(connection, f"{SOLVE_SECONDS}_sum") == {"": first + (first + second) / 2 + above}
