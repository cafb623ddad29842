"""How a plan comes into the records: accepted means written down."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import BindParameter, Connection, Row, bindparam, func, insert, select, update

from worker.records import events
from worker.records.ids import new_id
from worker.records.reading import PlanRow
from worker.records.statuses import OPEN
from worker.records.tables import Campaign, MouldingCampaign, Plan, Study, Workshop

# Written once: to put such a statement together takes longer than SQLite needs to carry it out, and whoever does it
# within a transaction keeps every other writer waiting.
_WORKSHOP: BindParameter[str] = bindparam("workshop")
_UNFINISHED = [
    select(func.count()).where(table.workshop_id == _WORKSHOP, table.status.in_(OPEN)).scalar_subquery()
    for table in (Plan, Study)
]
_QUOTA = select(
    Workshop.max_open_plans,
    Workshop.max_bytes,
    Workshop.stored_bytes,
    (_UNFINISHED[0] + _UNFINISHED[1]).label("unfinished"),
).where(Workshop.id == _WORKSHOP)
_KNOWN_CAMPAIGN = select(Campaign.id).where(Campaign.workshop_id == _WORKSHOP, Campaign.sha256 == bindparam("digest"))
_QUOTA_AND_CAMPAIGN = _QUOTA.add_columns(_KNOWN_CAMPAIGN.limit(1).scalar_subquery().label("campaign"))
_NEW_CAMPAIGNS, _NEW_MOULDING_CAMPAIGNS, _NEW_PLANS = insert(Campaign), insert(MouldingCampaign), insert(Plan)
_PARENTS = select(Plan.moulding_campaign_id).where(Plan.workshop_id == _WORKSHOP, Plan.id == bindparam("plan"))
_MORE_BYTES = (
    update(Workshop).where(Workshop.id == _WORKSHOP).values(stored_bytes=Workshop.stored_bytes + bindparam("more"))
)


class TooManyOpenPlans(Exception):
    """The workshop's quota of unfinished plans and studies is used up."""


class TooManyBytes(Exception):
    """The workshop's quota of stored bytes is used up."""


@dataclass(frozen=True)
class Submission:
    """What a submitter asks for. budget: seconds of planning. queue: small or large."""

    document: str
    title: str
    budget: float
    queue: str
    request_id: str | None = None
    parent_id: str | None = None
    moulding_campaign_id: str | None = None
    """None: the parent's, or a new one of the same title."""
    currency: str | None = None


@dataclass(frozen=True)
class Wanted:
    """A submission, whose it is, and when it came (seconds since 1970, UTC)."""

    workshop_id: str
    submission: Submission
    now: float


def submit(connection: Connection, workshop_id: str, submission: Submission, now: float) -> PlanRow:
    """Write the campaign and its plan down, queued; gives the plan as it was written.

    Raises TooManyOpenPlans or TooManyBytes when the workshop's quota is used up.
    """
    (made,) = submit_all(connection, [Wanted(workshop_id, submission, now)])
    if isinstance(made, Exception):
        raise made
    return made


def submit_all(
    connection: Connection, wanted: Sequence[Wanted], sent_at: float | None = None
) -> list[PlanRow | TooManyOpenPlans | TooManyBytes]:
    """As `submit`, for several in a statement a table; of each the plan, or why it was not taken, in their order.

    sent_at: lease time by which whoever calls sends them to the queue itself, as soon as they are committed. None: they
    are due, for any sender.
    """
    taken: list[PlanRow | TooManyOpenPlans | TooManyBytes] = []
    room: dict[str, _Room] = {}
    plans, moulding_campaigns = [], []
    for one in sorted(wanted, key=lambda one: one.workshop_id):  # everybody locks workshops in the same order
        if one.workshop_id not in room:
            room[one.workshop_id] = _Room(connection, one)
    for one in wanted:
        try:
            campaign_id = room[one.workshop_id].take(connection, one)
        except (TooManyOpenPlans, TooManyBytes) as error:
            taken.append(error)
            continue
        moulding_campaign_id = _known_moulding_campaign(connection, one.workshop_id, one.submission)
        if moulding_campaign_id is None:
            moulding_campaign_id = new_id()
            moulding_campaigns.append(
                {
                    "id": moulding_campaign_id,
                    "workshop_id": one.workshop_id,
                    "name": one.submission.title,
                    "created_at": one.now,
                }
            )
        row = _as_queued(one, moulding_campaign_id)
        taken.append(row)
        plans.append(_columns(row, one, campaign_id, sent_at))
    for _, its in sorted(room.items()):
        its.write_campaigns(connection)
    if moulding_campaigns:
        connection.execute(_NEW_MOULDING_CAMPAIGNS, moulding_campaigns)
    if plans:
        connection.execute(_NEW_PLANS, plans)
        queued = ((plan["id"], {"revision": 1, "queue": plan["queue"]}, plan["created_at"]) for plan in plans)
        events.begin_all(connection, "plan", "queued", queued)
    return taken


class _Room:
    """What a workshop may still submit, and the campaigns it has; counts what is taken of it in this transaction."""

    def __init__(self, connection: Connection, first: Wanted) -> None:
        self._workshop_id = first.workshop_id
        digest = _digest(first.submission.document)
        asked = {"workshop": first.workshop_id, "digest": digest}
        self._quota = connection.execute(_QUOTA_AND_CAMPAIGN, asked).one()
        self._campaigns: dict[str, str | None] = {digest: self._quota.campaign}
        self._plans, self._bytes = 0, 0
        self._new: list[dict[str, Any]] = []

    def take(self, connection: Connection, one: Wanted) -> str:
        """Room for one plan more; gives its campaign's id. Raises TooManyOpenPlans or TooManyBytes."""
        document = one.submission.document
        _check_quota(self._quota, len(document), self._plans, self._bytes)
        self._plans += 1
        digest = _digest(document)
        if digest not in self._campaigns:
            asked = {"workshop": self._workshop_id, "digest": digest}
            self._campaigns[digest] = connection.execute(_KNOWN_CAMPAIGN, asked).scalar()
        known = self._campaigns[digest]
        if known is None:
            self._campaigns[digest] = known = new_id()
            self._new.append(_campaign(known, self._workshop_id, document, digest, one.now))
            self._bytes += len(document)
        return known

    def write_campaigns(self, connection: Connection) -> None:
        """Those that are new."""
        if self._new:
            connection.execute(_NEW_CAMPAIGNS, self._new)
            note_bytes(connection, self._workshop_id, self._bytes)


def _as_queued(one: Wanted, moulding_campaign_id: str) -> PlanRow:
    asked = one.submission
    return PlanRow(
        id=new_id(),
        title=asked.title,
        currency=asked.currency,
        status="queued",
        ended_because=None,
        problems=[],
        revision=1,
        edition=1,
        last_event=1,
        queue=asked.queue,
        budget=asked.budget,
        phase=None,
        share=None,
        cost=None,
        bound=None,
        gap=None,
        parent_id=asked.parent_id,
        moulding_campaign_id=moulding_campaign_id,
        stop_requested=False,
        created_at=one.now,
        started_at=None,
        finished_at=None,
    )


def _columns(row: PlanRow, one: Wanted, campaign_id: str, sent_at: float | None) -> dict[str, Any]:
    """The plan as its table has it; what is not named is unknown yet."""
    return {
        "id": row.id,
        "workshop_id": one.workshop_id,
        "campaign_id": campaign_id,
        "parent_id": row.parent_id,
        "moulding_campaign_id": row.moulding_campaign_id,
        "title": row.title,
        "currency": row.currency,
        "queue": row.queue,
        "budget": row.budget,
        "revision": row.revision,
        "edition": row.edition,
        "last_event": row.last_event,
        "status": row.status,
        "attempt": 0,
        "losses": 0,
        "stop_requested": row.stop_requested,
        "request_id": one.submission.request_id,
        "created_at": row.created_at,
        "sent_at": sent_at,
    }


def _known_moulding_campaign(connection: Connection, workshop_id: str, submission: Submission) -> str | None:
    """The moulding campaign a new plan belongs to; None: one of its own."""
    if submission.moulding_campaign_id is not None or submission.parent_id is None:
        return submission.moulding_campaign_id
    asked = {"workshop": workshop_id, "plan": submission.parent_id}
    known: str | None = connection.execute(_PARENTS, asked).scalar()
    return known


def keep_campaign(connection: Connection, workshop_id: str, document: str, now: float) -> str:
    """Store a campaign document, once per workshop and content; gives its id."""
    digest = _digest(document)
    known: str | None = connection.execute(_KNOWN_CAMPAIGN, {"workshop": workshop_id, "digest": digest}).scalar()
    return known or _new_campaign(connection, workshop_id, document, digest, now)


def _digest(document: str) -> str:
    return hashlib.sha256(document.encode()).hexdigest()


def _new_campaign(connection: Connection, workshop_id: str, document: str, digest: str, now: float) -> str:
    campaign_id = new_id()
    connection.execute(_NEW_CAMPAIGNS, [_campaign(campaign_id, workshop_id, document, digest, now)])
    note_bytes(connection, workshop_id, len(document))
    return campaign_id


def _campaign(campaign_id: str, workshop_id: str, document: str, digest: str, now: float) -> dict[str, Any]:
    return {"id": campaign_id, "workshop_id": workshop_id, "sha256": digest, "document": document, "created_at": now}


def within_quota(connection: Connection, workshop_id: str, more_bytes: int) -> None:
    """Room for one plan or study more. Raises TooManyOpenPlans or TooManyBytes."""
    _check_quota(connection.execute(_QUOTA, {"workshop": workshop_id}).one(), more_bytes)


def _check_quota(quota: Row[*tuple[Any, ...]], more_bytes: int, taken_plans: int = 0, taken_bytes: int = 0) -> None:
    """taken_plans, taken_bytes: since the quota was read."""
    unfinished = quota.unfinished + taken_plans
    if unfinished >= quota.max_open_plans:
        raise TooManyOpenPlans(f"{unfinished} plans and studies are waiting or being made")
    if quota.stored_bytes + taken_bytes + more_bytes > quota.max_bytes:
        raise TooManyBytes(f"the workshop's {quota.max_bytes} bytes are used up")


def note_bytes(connection: Connection, workshop_id: str, more: int) -> None:
    """Documents of so many bytes were added (or, negative, deleted)."""
    connection.execute(_MORE_BYTES, {"workshop": workshop_id, "more": more})
