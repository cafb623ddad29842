"""What is kept for how long and how much of it, and what goes when its time or its room is over.

Plans, campaigns and logs of the floor stay.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields

from sqlalchemy import Connection, Row, delete, func, select, update
from sqlalchemy.orm import aliased

from worker.records.idempotency_keys import KEPT
from worker.records.submitting import note_bytes
from worker.records.tables import (
    Draft,
    Event,
    KeptAnswer,
    OutboxMessage,
    Plan,
    Revision,
    Session,
    SetAside,
    SharedLink,
    Study,
    StudyEvent,
    Workshop,
)
from worker.settings import Settings

DAY = 86400.0
DRAFTS = 180 * DAY
"""Since what is typed was changed last."""
LINKS = 90 * DAY
"""That a link which opens nothing any more stays in the list."""
REVISIONS_LEFT = 10
"""Run plans of a plan, the newest, that stay however old they are."""
OLD_SHARE = 0.5
"""Of a workshop's quota of bytes, what run plans that newer ones have followed may take."""
WAITING_OF_A_WEBHOOK = 5_000
"""Messages that wait for one receiver; beyond them the oldest are given up."""
AT_A_TIME = 500
"""Rows of a kind in one transaction, so that nobody waits for it."""
_EVENTS = ((Plan, Event, Event.plan_id), (Study, StudyEvent, StudyEvent.study_id))


@dataclass(frozen=True)
class Ages:
    """How long each kind is kept (seconds), and how many bytes of it.

    deliveries: messages to webhooks that arrived or were given up. events: what happened while a plan or study was
    made, after it ended; how it ended stays. revisions: run plans that newer ones of the same plan have followed.
    asides: rows of orders set aside, with the cells that were read, since their table was brought.
    most_bytes: of messages, and of events.
    """

    deliveries: float = 30 * DAY
    events: float = 90 * DAY
    revisions: float = 365 * DAY
    asides: float = 365 * DAY
    most_bytes: int = 2**30

    @classmethod
    def said_by(cls, settings: Settings) -> "Ages":
        return cls(
            settings.keep_deliveries_days * DAY,
            settings.keep_events_days * DAY,
            settings.keep_revisions_days * DAY,
            settings.keep_asides_days * DAY,
            settings.keep_bytes,
        )


@dataclass(frozen=True)
class Removed:
    """How many of each went."""

    deliveries: int = 0
    events: int = 0
    revisions: int = 0
    answers: int = 0
    sessions: int = 0
    drafts: int = 0
    links: int = 0
    asides: int = 0

    def by_kind(self) -> dict[str, int]:
        return {f.name: getattr(self, f.name) for f in fields(self)}

    @property
    def said(self) -> str:
        """In words; nothing where nothing went."""
        return ", ".join(f"{many} {kind}" for kind, many in self.by_kind().items() if many)

    def __add__(self, other: "Removed") -> "Removed":
        return Removed(
            *(mine + more for mine, more in zip(self.by_kind().values(), other.by_kind().values(), strict=True))
        )


def remove_old(connection: Connection, now: float, ages: Ages | None = None) -> Removed:
    """Remove what has had its time, some of it; call again while anything went. ages: None, the usual ones."""
    ages = ages or Ages()
    old = select(OutboxMessage.id).where(
        OutboxMessage.next_try_at.is_(None), OutboxMessage.created_at < now - ages.deliveries
    )
    deliveries = connection.execute(delete(OutboxMessage).where(OutboxMessage.id.in_(old.limit(AT_A_TIME)))).rowcount
    answers = connection.execute(delete(KeptAnswer).where(KeptAnswer.created_at < now - KEPT)).rowcount
    sessions = connection.execute(delete(Session).where(Session.ends_at < now)).rowcount
    drafts = connection.execute(delete(Draft).where(Draft.changed_at < now - DRAFTS)).rowcount
    links = connection.execute(delete(SharedLink).where(SharedLink.ends_at < now - LINKS)).rowcount
    events, _ = _events(connection, now - ages.events)
    revisions = _revisions(connection, now - ages.revisions)
    asides = _asides(connection, now - ages.asides)
    return Removed(deliveries, events, revisions, answers, sessions, drafts, links, asides)


def remove_too_much(connection: Connection, bytes_of: dict[str, int], ages: Ages | None = None) -> Removed:
    """Remove the oldest of what takes more room than it may, though its time is not over; call again while anything
    went. bytes_of: what there is of each kind (`worker.records.kept`); what goes is taken off there."""
    ages = ages or Ages()
    deliveries = events = 0
    if (over := bytes_of["deliveries"] - ages.most_bytes) > 0:
        deliveries, freed = _oldest_deliveries(connection, over)
        bytes_of["deliveries"] -= freed
    if bytes_of["events"] > ages.most_bytes:
        events, freed = _events(connection, None)
        bytes_of["events"] -= freed
    _give_up_waiting(connection)
    return Removed(deliveries, events, _revisions_of_full_workshops(connection))


def _oldest_deliveries(connection: Connection, over: int) -> tuple[int, int]:
    """(messages, bytes) removed, the oldest of those that nobody waits for any more, until so many bytes are free."""
    rows = connection.execute(
        select(OutboxMessage.id, func.length(OutboxMessage.body))
        .where(OutboxMessage.next_try_at.is_(None))
        .order_by(OutboxMessage.created_at, OutboxMessage.id)
        .limit(AT_A_TIME)
    ).all()
    going, freed = [], 0
    for delivery_id, size in rows:
        if freed >= over:
            break
        going.append(delivery_id)
        freed += size
    connection.execute(delete(OutboxMessage).where(OutboxMessage.id.in_(going)))
    return len(going), freed


def _give_up_waiting(connection: Connection) -> None:
    full = connection.execute(
        select(OutboxMessage.webhook_id)
        .where(OutboxMessage.next_try_at.is_not(None))
        .group_by(OutboxMessage.webhook_id)
        .having(func.count() > WAITING_OF_A_WEBHOOK)
    ).scalars()
    for webhook_id in list(full):
        newest = (
            select(OutboxMessage.id)
            .where(OutboxMessage.webhook_id == webhook_id, OutboxMessage.next_try_at.is_not(None))
            .order_by(OutboxMessage.created_at.desc(), OutboxMessage.id.desc())
            .limit(WAITING_OF_A_WEBHOOK)
        )
        connection.execute(
            update(OutboxMessage)
            .where(
                OutboxMessage.webhook_id == webhook_id,
                OutboxMessage.next_try_at.is_not(None),
                OutboxMessage.id.not_in(newest),
            )
            .values(next_try_at=None, outcome=f"given up: more than {WAITING_OF_A_WEBHOOK} waited")
        )


def _events(connection: Connection, ended_before: float | None) -> tuple[int, int]:
    """(events, bytes) removed of some of those that ended first; the last one of each says how it ended, and stays."""
    gone = freed = 0
    for job, events, of in _EVENTS:
        # Of those that still have some: else the same ones would be looked at for ever.
        more = select(of).where(of == job.id, events.number < job.last_event).exists()
        over = select(job.id).where(job.finished_at.is_not(None), more).order_by(job.finished_at).limit(AT_A_TIME // 10)
        if ended_before is not None:
            over = over.where(job.finished_at < ended_before)
        jobs = list(connection.execute(over).scalars())
        last = select(job.last_event).where(job.id == of).scalar_subquery()
        going = of.in_(jobs), events.number < last
        freed += connection.execute(
            select(func.coalesce(func.sum(func.length(events.data)), 0)).where(*going)
        ).scalar_one()
        gone += connection.execute(delete(events).where(*going)).rowcount
    return gone, freed


def _asides(connection: Connection, brought_before: float) -> int:
    old = connection.execute(
        select(SetAside.id, SetAside.workshop_id, func.length(SetAside.row))
        .where(SetAside.created_at < brought_before)
        .limit(AT_A_TIME)
    ).all()
    connection.execute(delete(SetAside).where(SetAside.id.in_([row.id for row in old])))
    for _, workshop_id, size in old:
        note_bytes(connection, workshop_id, -size)
    return len(old)


def _revisions(connection: Connection, made_before: float) -> int:
    newest = select(Revision.plan_id, func.max(Revision.number).label("number")).group_by(Revision.plan_id).subquery()
    old = connection.execute(
        select(Revision.plan_id, Revision.number, Plan.workshop_id, func.length(Revision.document))
        .join(newest, newest.c.plan_id == Revision.plan_id)
        .join(Plan, Plan.id == Revision.plan_id)
        .where(Revision.made_at < made_before, Revision.number <= newest.c.number - REVISIONS_LEFT)
        .limit(AT_A_TIME)
    ).all()
    return _remove_revisions(connection, old)


def _revisions_of_full_workshops(connection: Connection) -> int:
    """Of workshops whose old run plans take more than their share: the oldest of them, never a plan's newest."""
    other = aliased(Revision)
    newest = select(func.max(other.number)).where(other.plan_id == Plan.id).correlate(Plan).scalar_subquery()
    old = select(Plan.workshop_id).join(Revision, Revision.plan_id == Plan.id).where(Revision.number < newest)
    size = func.sum(func.length(Revision.document))
    full = connection.execute(
        old.add_columns(size, Workshop.max_bytes)
        .join(Workshop, Workshop.id == Plan.workshop_id)
        .group_by(Plan.workshop_id, Workshop.max_bytes)
        .having(size > OLD_SHARE * Workshop.max_bytes)
    ).all()
    gone = 0
    for workshop_id, there, most in full:
        going, over = [], there - OLD_SHARE * most
        for row in connection.execute(
            select(Revision.plan_id, Revision.number, Plan.workshop_id, func.length(Revision.document))
            .join(Plan, Plan.id == Revision.plan_id)
            .where(Plan.workshop_id == workshop_id, Revision.number < newest)
            .order_by(Revision.made_at, Revision.plan_id, Revision.number)
            .limit(AT_A_TIME)
        ):
            if over <= 0:
                break
            going.append(row)
            over -= row[3]
        gone += _remove_revisions(connection, going)
    return gone


def _remove_revisions(connection: Connection, rows: Sequence[Row[str, int, str, int]]) -> int:
    for plan_id, number, workshop_id, size in rows:
        connection.execute(delete(Revision).where(Revision.plan_id == plan_id, Revision.number == number))
        note_bytes(connection, workshop_id, -size)
    return len(rows)
