"""./run kept: what goes in time, how much there is of it and how old it is, counted here and now."""

import time

from api.serving.logs import LARGEST
from worker.records import kept, retention, sessions
from worker.records.idempotency_keys import KEPT
from worker.records.opening import open_records
from worker.records.retention import Ages
from worker.settings import Settings

_DAY = retention.DAY


def run(settings: Settings) -> None:
    """Count, and print a table. Changes nothing. Raises RecordsUnusable."""
    ages = Ages.said_by(settings)
    stays = {
        "deliveries": f"{ages.deliveries / _DAY:g} days, {_mib(ages.most_bytes)} MiB",
        "events": f"{ages.events / _DAY:g} days after the end, {_mib(ages.most_bytes)} MiB",
        "revisions": f"{ages.revisions / _DAY:g} days, half of a workshop's bytes; a plan's newest stay",
        "answers": f"{KEPT / _DAY:g} day",
        "sessions": f"{sessions.LASTS / _DAY:g} days, or signing out",
        "drafts": f"{retention.DRAFTS / _DAY:g} days since they were changed",
        "asides": f"{ages.asides / _DAY:g} days since the table was brought",
        "links": f"{retention.LINKS / _DAY:g} days after they end",
    }
    database = open_records(settings)
    try:
        with database.read() as connection:
            sizes = kept.measured(connection)
            removed = {row.kind: row.removed for row in kept.written_down(connection)}
    finally:
        database.close()
    now = time.time()
    print(f"{'kind':<12}{'rows':>10}{'MiB':>10}{'oldest':>12}{'went':>10}  stays")
    for kind, size in sizes.items():
        oldest = "" if size.oldest is None else f"{max(0.0, now - size.oldest) / _DAY:.1f} days"
        print(f"{kind:<12}{size.rows:>10}{_mib(size.bytes):>10}{oldest:>12}{removed.get(kind, 0):>10}  {stays[kind]}")
    logs = sorted((settings.data / "logs").glob("*.log*"))
    written = sum(file.stat().st_size for file in logs)
    print(
        f"{'logs':<12}{len(logs):>10}{_mib(written):>10}{'':>12}{'':>10}  {_mib(LARGEST)} MiB each, and as much before"
    )


def _mib(size: int) -> str:
    return f"{size / 2**20:.1f}"
