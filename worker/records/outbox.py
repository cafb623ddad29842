"""What the queue should know of: plans and parts never sent, lost with the queue, or left by a lost worker."""

from collections import Counter
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, bindparam, func, or_, select, update

from worker.records.statuses import OPEN
from worker.records.tables import Plan, Study, StudyPart, Workshop

LONGEST_SILENCE = 600.0
"""What waits this long in a queue that is not empty is sent again all the same (seconds)."""

Table = type[Plan] | type[StudyPart]
TABLES: tuple[Table, ...] = (Plan, StudyPart)

# Written once: fifty of them are carried out within one transaction.
_TAKE = {
    table: update(table)
    .where(
        table.id == bindparam("one"),
        table.status.in_(OPEN),
        or_(table.sent_at.is_(None), table.sent_at < bindparam("stale")),
    )
    .values(sent_at=bindparam("now"))
    for table in TABLES
}


@dataclass(frozen=True)
class Due:
    """A plan or a part of a study to be sent. queue: small or large. again: it was sent before."""

    id: str
    queue: str
    table: Table = Plan
    again: bool = False


def due(connection: Connection, now: float, resend_after: float, empty: frozenset[str]) -> list[Due]:
    """What to send now. empty: queues that hold no message, so whatever waited there was lost or refused."""
    plans = connection.execute(
        select(Plan.id, Plan.queue, Plan.sent_at)
        .where(or_((Plan.status == "queued") & Plan.sent_at.is_(None), *_again(Plan, now, resend_after, empty)))
        .order_by(Plan.created_at)
        .limit(200)
    )
    parts = connection.execute(
        select(StudyPart.id, StudyPart.queue)
        .where(or_(*_again(StudyPart, now, resend_after, empty)))
        .order_by(StudyPart.created_at, StudyPart.number)
        .limit(200)
    )
    return [
        *(Due(row.id, row.queue, again=row.sent_at is not None) for row in plans),
        *(Due(row.id, row.queue, StudyPart, again=True) for row in parts),
        *_fresh_parts(connection, now),
    ]


def _again(table: Table, now: float, resend_after: float, empty: frozenset[str]) -> list[ColumnElement[bool]]:
    stale = now - resend_after
    waits = (table.status == "queued") & or_(
        (table.sent_at < stale) & table.queue.in_(empty), table.sent_at < now - LONGEST_SILENCE
    )
    lost = (table.status == "running") & (table.lease_until < now) & (table.sent_at < stale)
    return [waits, lost]


def _fresh_parts(connection: Connection, now: float) -> list[Due]:
    """Parts never sent: of each workshop as many as there are cores left to it by its plans, one at least.

    So the queue never fills up with one study, and everybody's next plan waits for a few parts at most.
    """
    rank = func.row_number().over(partition_by=Study.workshop_id, order_by=(StudyPart.created_at, StudyPart.number))
    waiting = connection.execute(
        select(StudyPart.id, StudyPart.queue, Study.workshop_id, Workshop.max_cores, rank.label("rank"))
        .join(Study, Study.id == StudyPart.study_id)
        .join(Workshop, Workshop.id == Study.workshop_id)
        .where(StudyPart.status == "queued", StudyPart.sent_at.is_(None))
        .order_by(rank)
        .limit(1000)
    ).all()
    if not waiting:
        return []
    workshops = {row.workshop_id for row in waiting}
    out = connection.execute(
        select(Study.workshop_id, func.count())
        .join(StudyPart, StudyPart.study_id == Study.id)
        .where(
            Study.workshop_id.in_(workshops),
            (StudyPart.status == "running") | (StudyPart.status == "queued") & StudyPart.sent_at.is_not(None),
        )
        .group_by(Study.workshop_id)
    )
    plans = connection.execute(
        select(Plan.workshop_id, func.sum(Plan.cores))
        .where(Plan.workshop_id.in_(workshops), Plan.status == "running", Plan.lease_until >= now)
        .group_by(Plan.workshop_id)
    )
    parts_out, plan_cores = (Counter(dict(rows.all())) for rows in (out, plans))
    return [
        Due(row.id, row.queue, StudyPart)
        for row in waiting
        if row.rank <= max(1, row.max_cores - plan_cores[row.workshop_id]) - parts_out[row.workshop_id]
    ]


def take(connection: Connection, item: Due, now: float, resend_after: float) -> bool:
    """Mark as sent; False if another sender was quicker."""
    asked = {"one": item.id, "stale": now - resend_after, "now": now}
    return connection.execute(_TAKE[item.table], asked).rowcount == 1


def give_back(connection: Connection, item: Due) -> None:
    """The queue did not take it: due again at once."""
    connection.execute(update(item.table).where(item.table.id == item.id).values(sent_at=None))
