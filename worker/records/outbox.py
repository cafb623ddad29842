"""Plans the queue should know of: never sent, lost with the queue, or left by a lost worker."""

from dataclasses import dataclass

from sqlalchemy import Connection, or_, select, update

from worker.records.tables import Plan

LONGEST_SILENCE = 600.0
"""A plan that waits this long in a queue that is not empty is sent again all the same (seconds)."""


@dataclass(frozen=True)
class Due:
    plan_id: str
    queue: str


def due(connection: Connection, now: float, resend_after: float, empty: frozenset[str]) -> list[Due]:
    """Plans to send now. empty: queues that hold no message, so whatever waited there was lost or refused."""
    stale = now - resend_after
    queued = (Plan.status == "queued") & or_(
        Plan.sent_at.is_(None),
        (Plan.sent_at < stale) & Plan.queue.in_(empty),
        Plan.sent_at < now - LONGEST_SILENCE,
    )
    lost = (Plan.status == "running") & (Plan.lease_until < now) & (Plan.sent_at < stale)
    rows = connection.execute(select(Plan.id, Plan.queue).where(or_(queued, lost)).order_by(Plan.created_at).limit(200))
    return [Due(row.id, row.queue) for row in rows]


def take(connection: Connection, item: Due, now: float, resend_after: float) -> bool:
    """Mark as sent; False if another sender was quicker."""
    return (
        connection.execute(
            update(Plan)
            .where(
                Plan.id == item.plan_id,
                Plan.status.in_(("queued", "running")),
                or_(Plan.sent_at.is_(None), Plan.sent_at < now - resend_after),
            )
            .values(sent_at=now)
        ).rowcount
        == 1
    )


def give_back(connection: Connection, item: Due) -> None:
    """The queue did not take it: due again at once."""
    connection.execute(update(Plan).where(Plan.id == item.plan_id).values(sent_at=None))
