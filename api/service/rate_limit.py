"""How many requests a workshop may send: a bucket of a minute's worth that fills evenly.

The buckets lie in Redis, so that a workshop's quota is one quota however many API processes there are. While Redis is
away each process keeps buckets of its own: with n of them a workshop may then send n times as many.
"""

import ipaddress
import logging
import math
import threading
import time
from collections.abc import Callable

import redis
from redis.backoff import NoBackoff
from redis.retry import Retry

log = logging.getLogger(__name__)
PATIENCE = 0.25
"""Seconds to wait for Redis; a request is not kept longer than that for being counted."""
WRONG_PER_MINUTE = 300
"""Wrong keys an address may send in a minute."""
MOST_BUCKETS = 20_000
LEAVE_ALONE = 2.0
"""Seconds after a failure during which Redis is not asked again."""

# One step there: nobody else comes between reading a bucket and writing it. Redis's own clock, so that the processes'
# clocks need not agree. A bucket that is full again is forgotten.
_TAKE = """
local most = tonumber(ARGV[1])
local told = redis.call('TIME')
local now = told[1] + told[2] / 1000000
local kept = redis.call('HMGET', KEYS[1], 'left', 'at')
local left, at = tonumber(kept[1]) or most, tonumber(kept[2]) or now
left = math.min(most, left + math.max(0, now - at) * most / 60)
local before = left
if left >= 1 then left = left - 1 end
redis.call('HSET', KEYS[1], 'left', string.format('%.6f', left), 'at', string.format('%.6f', now))
redis.call('EXPIRE', KEYS[1], 70)
return string.format('%.6f', before)
"""


class Pace:
    """This process's own buckets, by workshop."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._buckets: dict[str, tuple[float, float]] = {}

    def charge(self, whose: str, per_minute: int, many: int) -> None:
        """Count as many more, also below nothing: to be waited for before the next."""
        now = self._clock()
        with self._lock:
            left, at = self._buckets.get(whose, (float(per_minute), now))
            left = min(float(per_minute), left + (now - at) * per_minute / 60)
            self._buckets[whose] = (max(-float(per_minute), left - many), now)

    def wait(self, workshop_id: str, per_minute: int) -> float:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        now = self._clock()
        with self._lock:
            if len(self._buckets) > MOST_BUCKETS:
                # Those untouched for two minutes are full again, whatever was taken from them.
                self._buckets = {whose: kept for whose, kept in self._buckets.items() if now - kept[1] < 120}
            left, at = self._buckets.get(workshop_id, (float(per_minute), now))
            left = min(float(per_minute), left + (now - at) * per_minute / 60)
            self._buckets[workshop_id] = (left - 1 if left >= 1 else left, now)
        return _wait(left, per_minute)


class Addresses:
    """What one network address may ask before anything is looked up for it, by each process for itself.

    A wrong key costs as much as many right ones: trying keys comes to an end soon, asking with one's own goes on.
    """

    def __init__(self, per_minute: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._per_minute, self._wrong_costs = per_minute, max(1, per_minute // WRONG_PER_MINUTE)
        self._pace = Pace(clock)

    def wait(self, address: str) -> float:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        return self._pace.wait(_network(address), self._per_minute)

    def wrong(self, address: str) -> None:
        """It came with a key or a session that is none."""
        self._pace.charge(_network(address), self._per_minute, self._wrong_costs - 1)


def _network(address: str) -> str:
    """Whose address it is: a whole /64 of IPv6, which is what one customer has."""
    try:
        known = ipaddress.ip_address(address)
    except ValueError:
        return address[:60]
    return str(known if known.version == 4 else ipaddress.ip_network((known, 64), strict=False))


class SharedPace:
    """Buckets of all processes in the server at `url`; this process's own while it is away."""

    def __init__(self, url: str, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock, self._own = clock, Pace(clock)
        self._away_until = -math.inf
        server = redis.Redis.from_url(
            url,
            socket_timeout=PATIENCE,
            socket_connect_timeout=PATIENCE,
            retry=Retry(NoBackoff(), 0),
            retry_on_error=[],
        )
        self._take = server.register_script(_TAKE)

    def wait(self, workshop_id: str, per_minute: int) -> float:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        if self._clock() < self._away_until:
            return self._own.wait(workshop_id, per_minute)
        try:
            left = float(self._take(keys=[f"pace:{workshop_id}"], args=[per_minute]))
        except redis.RedisError as error:
            self._away_until = self._clock() + LEAVE_ALONE
            log.warning("paces are kept by each process alone: %s", type(error).__name__)
            return self._own.wait(workshop_id, per_minute)
        return _wait(left, per_minute)


def _wait(left: float, per_minute: int) -> float:
    return 0 if left >= 1 else max(1, math.ceil((1 - left) * 60 / max(1, per_minute)))
