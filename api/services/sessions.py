"""Who is signed in: sessions of the pages, and who holds an access key."""

import time

from api.service import Service
from worker.records import keys, sessions
from worker.records.keys import Holder


def holder_of(service: Service, key: str) -> Holder | None:
    """Whose access key it is; None for anything that opens nothing."""
    with service.database.read() as connection:
        return keys.holder_of(connection, key, time.time())


def signed_in(service: Service, secret: str) -> Holder | None:
    """Who began the session of that secret; None where it is over."""
    with service.database.read() as connection:
        return sessions.holder_of(connection, secret, time.time())


def begin(service: Service, holder: Holder) -> str:
    """A session of that key's holder; gives its secret."""
    with service.database.write() as connection:
        return sessions.begin(connection, holder.key_id, time.time())


def end(service: Service, secret: str) -> None:
    """The session's secret opens nothing any more."""
    with service.database.write() as connection:
        sessions.end(connection, secret)
