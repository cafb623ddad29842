"""What is kept for how long, and what goes when its time is over. Plans, campaigns and logs of the floor stay."""

from dataclasses import dataclass, fields

from sqlalchemy import Connection, delete, func, select

from worker.records.idempotency_keys import KEPT
from worker.records.submitting import note_bytes
from worker.records.tables import Answer, Delivery, Event, Plan, Revision, Session, Study, StudyEvent

DAY = 86400.0
DELIVERIES = 30 * DAY
"""Webhook messages that arrived or were given up."""
EVENTS = 90 * DAY
"""What happened while a plan or study was made, after it ended: where it stands and what came of it stay."""
REVISIONS = 365 * DAY
"""Run plans that a newer one of the same plan has followed ..."""
REVISIONS_LEFT = 10
"""... but never the newest so many."""
AT_A_TIME = 500
"""Rows of a kind in one transaction, so that nobody waits for it."""


@dataclass(frozen=True)
class Removed:
    """How many of each went."""

    deliveries: int = 0
    events: int = 0
    revisions: int = 0
    answers: int = 0
    sessions: int = 0

    @property
    def said(self) -> str:
        """In words; nothing where nothing went."""
        return ", ".join(f"{getattr(self, f.name)} {f.name}" for f in fields(self) if getattr(self, f.name))


def remove_old(connection: Connection, now: float) -> Removed:
    """Remove what has had its time, some of it; call again while anything went."""
    old = (
        select(Delivery.id)
        .where(Delivery.next_try_at.is_(None), Delivery.created_at < now - DELIVERIES)
        .limit(AT_A_TIME)
    )
    deliveries = connection.execute(delete(Delivery).where(Delivery.id.in_(old))).rowcount
    answers = connection.execute(delete(Answer).where(Answer.created_at < now - KEPT)).rowcount
    sessions = connection.execute(delete(Session).where(Session.ends_at < now)).rowcount
    return Removed(deliveries, _events(connection, now), _revisions(connection, now), answers, sessions)


def _events(connection: Connection, now: float) -> int:
    gone = 0
    for job, events, of in ((Plan, Event, Event.plan_id), (Study, StudyEvent, StudyEvent.study_id)):
        # Of those that still have some: else the same ones would be looked at for ever.
        more = select(of).where(of == job.id, events.number < job.last_event).exists()
        over = select(job.id).where(job.finished_at < now - EVENTS, more).limit(AT_A_TIME // 10)
        # The last one says how it ended, and is what a stream ends with.
        last = select(job.last_event).where(job.id == of).scalar_subquery()
        gone += connection.execute(delete(events).where(of.in_(over), events.number < last)).rowcount
    return gone


def _revisions(connection: Connection, now: float) -> int:
    newest = select(Revision.plan_id, func.max(Revision.number).label("number")).group_by(Revision.plan_id).subquery()
    old = connection.execute(
        select(Revision.plan_id, Revision.number, Plan.workshop_id, func.length(Revision.document))
        .join(newest, newest.c.plan_id == Revision.plan_id)
        .join(Plan, Plan.id == Revision.plan_id)
        .where(Revision.made_at < now - REVISIONS, Revision.number <= newest.c.number - REVISIONS_LEFT)
        .limit(AT_A_TIME)
    ).all()
    for plan_id, number, workshop_id, size in old:
        connection.execute(delete(Revision).where(Revision.plan_id == plan_id, Revision.number == number))
        note_bytes(connection, workshop_id, -size)
    return len(old)
