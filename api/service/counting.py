"""What is counted, for Prometheus.

Most of it is read from the records, so it is true for all processes together and survives each of them. The counts of
requests are this process's own, or, where the environment names a folder for them, those of all that share it.
"""

import os
import time
from collections.abc import Iterator
from dataclasses import dataclass

from prometheus_client import CollectorRegistry, Counter, Histogram
from prometheus_client.core import CounterMetricFamily, GaugeMetricFamily, HistogramMetricFamily, Metric
from prometheus_client.multiprocess import MultiProcessCollector
from prometheus_client.registry import Collector

from worker.queue.broker import QUEUES
from worker.records import counters, health, kept
from worker.records.database import Database
from worker.records.kept import KeptRow


class Metrics:
    """The service's metrics, as one API process tells them."""

    def __init__(self, database: Database) -> None:
        self.registry = CollectorRegistry()
        self.registry.register(_Records(database))
        shared = os.environ.get("PROMETHEUS_MULTIPROC_DIR")
        if shared:
            MultiProcessCollector(self.registry, shared)  # type: ignore[no-untyped-call]  # says nothing of its types
        own, labels = None if shared else self.registry, ["method", "route", "status"]
        self.requests = Counter("http_requests", "requests answered", labels, registry=own)
        self.seconds = Histogram("http_request_seconds", "time to answer", ["route"], registry=own)


@dataclass(eq=False)
class _Records(Collector):
    database: Database

    def collect(self) -> Iterator[Metric]:
        now = time.time()
        with self.database.read() as connection:
            beat = self.database.lease_clock.now(connection)
            counts = health.counts(connection, beat)
            waiting = health.queues(connection, QUEUES, now)
            parts_waiting, parts_running = health.parts(connection, beat)
            ended = counters.read(connection, counters.ENDED)
            histograms = {
                name: (counters.read(connection, name), counters.read(connection, f"{name}_sum").get("", 0.0))
                for name in counters.BUCKETS
            }
            kept_rows = kept.written_down(connection)
        depth = GaugeMetricFamily("plans_waiting", "plans that wait for a worker", labels=["queue"])
        oldest = GaugeMetricFamily("plans_oldest_wait_seconds", "how long the first of them waits", labels=["queue"])
        for name, queue in waiting.items():
            depth.add_metric([name], queue.waiting)
            oldest.add_metric([name], queue.oldest)
        yield depth
        yield oldest
        yield GaugeMetricFamily("plans_running", "plans being made", value=counts.running)
        yield GaugeMetricFamily("study_parts_waiting", "parts of studies that wait for a worker", value=parts_waiting)
        yield GaugeMetricFamily("study_parts_running", "parts being worked out", value=parts_running)
        yield GaugeMetricFamily("workers", "worker processes heard of lately", value=counts.workers)
        endings = CounterMetricFamily("plans_ended", "plans that came to an end, by why", labels=["because"])
        for because, number in sorted(ended.items()):
            endings.add_metric([because], number)
        yield endings
        for name, (buckets, total) in histograms.items():
            yield _histogram(f"plan_{name}", counters.BUCKETS[name], buckets, total)
        yield from _kept(kept_rows)


def _kept(rows: list[KeptRow]) -> Iterator[Metric]:
    """What goes in time, as a worker counted it last: once an hour."""
    there = GaugeMetricFamily("kept_rows", "what is kept for a time, by kind", labels=["kind"])
    size = GaugeMetricFamily("kept_bytes", "how much that is", labels=["kind"])
    oldest = GaugeMetricFamily("kept_oldest_age_seconds", "when counted, how old the oldest was", labels=["kind"])
    removed = CounterMetricFamily("kept_removed", "what went since its time or its room was over", labels=["kind"])
    for row in rows:
        there.add_metric([row.kind], row.rows)
        size.add_metric([row.kind], row.bytes)
        oldest.add_metric([row.kind], 0.0 if row.oldest_at is None else max(0.0, row.measured_at - row.oldest_at))
        removed.add_metric([row.kind], row.removed)
    yield from (there, size, oldest, removed)


def _histogram(name: str, bounds: tuple[float, ...], counted: dict[str, float], total: float) -> Metric:
    running, steps = 0.0, []
    for bound in (*(f"{bound:g}" for bound in bounds), "+Inf"):
        running += counted.get(bound, 0.0)
        steps.append((bound, running))
    return HistogramMetricFamily(name, "of the plans made", buckets=steps, sum_value=total)
