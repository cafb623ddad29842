"""What the queue should know of: plans and parts never sent, lost with the queue, or left by a lost worker."""

from collections import Counter
from dataclasses import dataclass

from sqlalchemy import BindParameter, Connection, bindparam, func, or_, select, update

from worker.records.statuses import OPEN
from worker.records.tables import Plan, Study, StudyPart, Workshop

LONGEST_SILENCE = 600.0
"""What waits this long in a queue that is not empty is sent again all the same (seconds)."""

Table = type[Plan] | type[StudyPart]
TABLES: tuple[Table, ...] = (Plan, StudyPart)

# Written once: to put such a statement together takes longer than to carry it out.
_NOW: BindParameter[float] = bindparam("now")
_STALE: BindParameter[float] = bindparam("stale")
_SILENT: BindParameter[float] = bindparam("silent")
_TAKE = {
    table: update(table)
    .where(
        table.id.in_(bindparam("those", expanding=True)),
        table.status.in_(OPEN),
        or_(table.sent_at.is_(None), table.sent_at < _STALE),
    )
    .values(sent_at=_NOW)
    .returning(table.id)
    for table in TABLES
}
_FRESH_PLANS = (
    select(Plan.id, Plan.queue)
    .where(Plan.status == "queued", Plan.sent_at.is_(None))
    .order_by(Plan.created_at)
    .limit(200)
)
_SENT_SINCE = (
    select(Plan.id, Plan.queue)
    .where(Plan.status == "queued", Plan.sent_at >= bindparam("since"))
    .order_by(Plan.sent_at)
    .limit(1000)
)
_FRESH_PART = select(StudyPart.id).where(StudyPart.status == "queued", StudyPart.sent_at.is_(None)).limit(1)
_LONG_AGO = select(
    or_(
        *(
            exists
            for table in TABLES
            for exists in (
                select(table.id).where(table.status == "queued", table.sent_at < _STALE).exists(),
                select(table.id).where(table.status == "running", table.lease_until < _NOW).exists(),
            )
        )
    )
)
_LOST = {
    table: select(table.id, table.queue)
    .where(
        or_(
            (table.status == "queued") & (table.sent_at < _STALE) & table.queue.in_(bindparam("empty", expanding=True)),
            (table.status == "queued") & (table.sent_at < _SILENT),
            # A message said to have failed may have arrived all the same: what runs need not be marked as sent.
            (table.status == "running")
            & (table.lease_until < _NOW)
            & (table.sent_at.is_(None) | (table.sent_at < _STALE)),
        )
    )
    .order_by(table.created_at, table.id)
    .limit(200)
    for table in TABLES
}


@dataclass(frozen=True)
class Due:
    """A plan or a part of a study to be sent. queue: small or large."""

    id: str
    queue: str
    table: Table = Plan


def fresh(connection: Connection, now: float) -> list[Due]:
    """What was never sent and may go now, plans first."""
    plans = [Due(row.id, row.queue) for row in connection.execute(_FRESH_PLANS)]
    if connection.execute(_FRESH_PART).first() is None:
        return plans
    return plans + _fresh_parts(connection, now)


def sent_since(connection: Connection, since: float) -> list[Due]:
    """Plans that wait and were marked as sent at that lease time or later."""
    return [Due(row.id, row.queue) for row in connection.execute(_SENT_SINCE, {"since": since})]


def sent_long_ago(connection: Connection, now: float, resend_after: float) -> bool:
    """Whether anything that waits was sent so long ago (seconds) that it may have got lost, or a worker is lost."""
    return bool(connection.execute(_LONG_AGO, {"stale": now - resend_after, "now": now}).scalar())


def lost(connection: Connection, now: float, resend_after: float, empty: frozenset[str]) -> list[Due]:
    """What is to be sent again. empty: queues that hold no message, so whatever waited there was lost or refused."""
    asked = {"now": now, "stale": now - resend_after, "silent": now - LONGEST_SILENCE, "empty": sorted(empty)}
    return [Due(row.id, row.queue, table) for table in TABLES for row in connection.execute(_LOST[table], asked)]


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


def take(connection: Connection, items: list[Due], now: float, resend_after: float) -> list[Due]:
    """Mark as sent, all of a kind in one step; gives those where no other sender was quicker, in their order."""
    taken = set()
    for table in TABLES:
        asked = [item.id for item in items if item.table is table]
        if asked:
            bound = {"those": asked, "stale": now - resend_after, "now": now}
            taken |= {(table, row.id) for row in connection.execute(_TAKE[table], bound)}
    return [item for item in items if (item.table, item.id) in taken]


def give_back(connection: Connection, item: Due) -> None:
    """The queue did not take it, as far as is known: due again at once, unless a worker has it already."""
    waits = update(item.table).where(item.table.id == item.id, item.table.status == "queued")
    connection.execute(waits.values(sent_at=None))
