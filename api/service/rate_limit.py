"""How many requests a workshop may send in a minute, and a network address.

A workshop's are counted in Redis, so many in any sixty seconds: its quota is one quota however many API processes there
are. While Redis is away each process counts for itself: with n of them a workshop may then send n times as many. What
a process counts for itself it counts by minutes that begin with the first request; nothing of them is left afterwards.
"""

import ipaddress
import logging
import math
import time
from collections.abc import Callable

import redis
from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage, RedisStorage
from limits.strategies import FixedWindowRateLimiter, MovingWindowRateLimiter, RateLimiter
from redis.backoff import NoBackoff
from redis.retry import Retry

log = logging.getLogger(__name__)
PATIENCE = 0.25
"""Seconds to wait for Redis; a request is not kept longer than that for being counted."""
WRONG_PER_MINUTE = 300
"""Wrong keys an address may send in a minute."""
LEAVE_ALONE = 2.0
"""Seconds after a failure during which Redis is not asked again."""


def _wait(limiter: RateLimiter, whose: str, per_minute: int) -> int:
    """0 and the request is counted; or the whole seconds until there is room for it again."""
    quota = RateLimitItemPerMinute(per_minute)
    if limiter.hit(quota, whose):
        return 0
    return max(1, math.ceil(limiter.get_window_stats(quota, whose).reset_time - time.time()))


class Addresses:
    """What one network address may ask before anything is looked up for it, by each process for itself.

    A wrong key costs as much as many right ones: trying keys comes to an end soon, asking with one's own goes on.
    """

    def __init__(self, per_minute: int) -> None:
        self._per_minute, self._wrong_costs = per_minute, max(1, per_minute // WRONG_PER_MINUTE)
        self._limiter = FixedWindowRateLimiter(MemoryStorage())

    def wait(self, address: str) -> int:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        return _wait(self._limiter, _network(address), self._per_minute)

    def wrong(self, address: str) -> None:
        """It came with a key or a session that is none."""
        self._limiter.hit(RateLimitItemPerMinute(self._per_minute), _network(address), cost=self._wrong_costs - 1)


def _network(address: str) -> str:
    """Whose address it is: a whole /64 of IPv6, which is what one customer has."""
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return address[:60]
    return str(known if known.version == 4 else ipaddress.ip_network((known, 64), strict=False))


class WorkshopLimit:
    """Requests of all processes, counted in the server at `url`; this process's own while it is away."""

    def __init__(self, url: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._away_until = clock, -math.inf
        self._own = FixedWindowRateLimiter(MemoryStorage())
        server = redis.ConnectionPool.from_url(
            url,
            socket_timeout=PATIENCE,
            socket_connect_timeout=PATIENCE,
            retry=Retry(NoBackoff(), 0),
            retry_on_error=[],
        )
        self._shared = MovingWindowRateLimiter(RedisStorage(url, connection_pool=server, key_prefix="rate"))

    def wait(self, workshop_id: str, per_minute: int) -> int:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        if self._clock() >= self._away_until:
            try:
                return _wait(self._shared, workshop_id, per_minute)
            except redis.RedisError as error:
                self._away_until = self._clock() + LEAVE_ALONE
                log.warning("requests are counted by each process alone: %s", type(error).__name__)
        return _wait(self._own, workshop_id, per_minute)
