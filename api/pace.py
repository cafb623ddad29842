"""How many requests a workshop may send: a bucket of a minute's worth that fills evenly.

The buckets lie in Redis, so that a workshop's quota is one quota however many API processes there are. While Redis is
away each process keeps buckets of its own: with n of them a workshop may then send n times as many.
"""

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

    def wait(self, workshop_id: str, per_minute: int) -> float:
        """0 and the request is counted; or the whole seconds until there is room for it again."""
        now = self._clock()
        with self._lock:
            left, at = self._buckets.get(workshop_id, (float(per_minute), now))
            left = min(float(per_minute), left + (now - at) * per_minute / 60)
            self._buckets[workshop_id] = (left - 1 if left >= 1 else left, now)
        return _wait(left, per_minute)


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
