"""A connection to the queue's server that says at once when it is away."""

import redis
from redis.backoff import NoBackoff
from redis.retry import Retry


def client_of(url: str, connect_s: float = 1.0) -> redis.Redis:
    """Asks once: of itself the library tries four times and waits in between, seconds for a server that is not there.

    Raises ValueError for what is no address of a server.
    """
    return redis.Redis.from_url(
        url, socket_timeout=2, socket_connect_timeout=connect_s, retry=Retry(NoBackoff(), 0), retry_on_error=[]
    )
