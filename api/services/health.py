"""What is there just now of all that the service needs: records, the queue, workers."""

import time
from dataclasses import dataclass

from api.service import Service
from worker.queue.broker import depths
from worker.records import counters, health
from worker.records.health import Counts

LATELY = 600.0
"""Seconds of the past by which the machines' cores are judged."""


@dataclass(frozen=True)
class Health:
    """counts: workers and plans; None where the records cannot be read. writes: whether they take a change. queue:
    whether it answers. core_wait: share of lately's planning time spent waiting for a core; None: not known."""

    counts: Counts | None
    writes: bool
    queue: bool
    core_wait: float | None

    @property
    def everything(self) -> bool:
        """Whether what is submitted now is planned now."""
        return self.counts is not None and self.writes and self.counts.workers > 0 and self.queue


def look(service: Service) -> Health:
    """Nothing is raised: what cannot be reached is what is told."""
    counts: Counts | None = None
    core_wait: float | None = None
    try:
        with service.database.read() as connection:
            counts = health.counts(connection, service.database.lease_clock.now(connection))
            core_wait = health.core_wait(connection, time.time() - LATELY)
    except Exception:
        pass  # said by `counts`
    return Health(counts, service.writes.works(lambda: _writes(service)), _queue(service), core_wait)


def _writes(service: Service) -> bool:
    try:
        with service.database.write(patience=2.0) as connection:
            # Begun and committed with nothing in it, a transaction also succeeds on a disk that is full.
            counters.add(connection, counters.READINESS_ASKED, "")
        return True
    except Exception:
        return False


def _queue(service: Service) -> bool:
    try:
        depths(service.queue)
    except Exception:
        return False
    return True
