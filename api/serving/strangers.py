"""Whether strangers could come in. Nothing here needs the application, so that whoever starts it stays small."""

import time

from worker.records.database import Database
from worker.settings import Settings

LOOPBACK = frozenset({"127.0.0.1", "::1", "localhost"})
"""Names of this machine that no other can reach."""


class NeedsKeys(Exception):
    """The service would be open to strangers; says what to do."""


def check_exposure(settings: Settings, database: Database) -> None:
    """Raises NeedsKeys if strangers could come in."""
    if settings.host in LOOPBACK:
        return
    from worker.records import keys  # here: with it come all tables, which whoever only starts others does without

    with database.read() as connection:
        if not keys.any_valid(connection, time.time()):
            raise NeedsKeys(
                f"{settings.host} can be reached from other machines and there is no access key: anybody could "
                "come in. Make one with `shot-to-ship key make WORKSHOP` (in a checkout ./run key make WORKSHOP), or "
                "listen on 127.0.0.1."
            )
