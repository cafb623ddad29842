"""Access keys: how long one lasts that follows another."""

import pytest

from worker.records import keys, workshops

DAY = 86400.0


@pytest.mark.parametrize("days", [1, 90, 365, None])
def test_a_rotated_key_lasts_as_long_as_the_one_before_it_from_now_on(database, days):
    """Rotated when half of its life is over: not until the old one would have ended, nor for ever."""
    willow = workshops.ensure(database, "willow", 0.0)
    begun, now = 1_800_000_000.0, 1_800_000_000.0 + (days or 100) * DAY / 2
    with database.write() as connection:
        old, text = keys.make(connection, willow, "press script", ("read",), begun, days)
        row, new = keys.rotate(connection, old, now)
        ends = None if days is None else now + days * DAY
        assert (row.label, row.ends_at) == ("press script", ends)
        for at, opens in ((now, True), (now + (days or 9000) * DAY - 1, True), (now + (days or 0) * DAY + 1, not days)):
            assert (keys.holder_of(connection, new, at) is not None) == opens
        old_ends = now + (DAY if days is None else min(DAY, days * DAY / 2))
        assert keys.holder_of(connection, text, old_ends - 1) is not None
        assert keys.holder_of(connection, text, old_ends + 1) is None


def test_a_key_opens_until_its_end_and_not_at_it(database):
    """To the second, by whoever asks: what is shown as ended is not let in."""
    willow = workshops.ensure(database, "willow", 0.0)
    with database.write() as connection:
        _, text = keys.make(connection, willow, "", ("read",), 100.0, 1)
        assert keys.holder_of(connection, text, 100.0 + DAY - 0.5) is not None
        assert keys.holder_of(connection, text, 100.0 + DAY) is None


def test_a_key_that_opens_nothing_any_more_is_not_rotated(database):
    """Ended, revoked, or of another workshop."""
    willow, alder = (workshops.ensure(database, name, 0.0) for name in ("willow", "alder"))
    with database.write() as connection:
        ended, _ = keys.make(connection, willow, "", ("read",), 0.0, 1)
        ours, _ = keys.make(connection, willow, "", ("read",), 0.0)
        assert keys.rotate(connection, ended, 2 * DAY) is None
        assert keys.rotate(connection, ours, 2 * DAY, alder) is None
        assert keys.rotate(connection, ours, 2 * DAY, willow) is not None
