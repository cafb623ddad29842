"""How a plan comes into the records: accepted means written down."""

import hashlib
from dataclasses import dataclass
from typing import Any

from sqlalchemy import BindParameter, Connection, Row, bindparam, func, insert, select, update

from worker.records import events
from worker.records.ids import new_id
from worker.records.reading import PLAN_COLUMNS, PlanRow, plan_row
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
_NEW_CAMPAIGN, _NEW_MOULDING_CAMPAIGN = insert(Campaign), insert(MouldingCampaign)
_NEW_PLAN = insert(Plan).returning(*PLAN_COLUMNS)
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


def submit(connection: Connection, workshop_id: str, submission: Submission, now: float) -> PlanRow:
    """Write the campaign and its plan down, queued; gives the plan as it was written.

    Raises TooManyOpenPlans or TooManyBytes when the workshop's quota is used up.
    """
    digest = _digest(submission.document)
    row = connection.execute(_QUOTA_AND_CAMPAIGN, {"workshop": workshop_id, "digest": digest}).one()
    _check_quota(row, len(submission.document))
    campaign_id = row.campaign or _new_campaign(connection, workshop_id, submission.document, digest, now)
    plan_id = new_id()
    written = connection.execute(
        _NEW_PLAN,
        {
            "id": plan_id,
            "workshop_id": workshop_id,
            "campaign_id": campaign_id,
            "parent_id": submission.parent_id,
            "moulding_campaign_id": _moulding_campaign(connection, workshop_id, submission, now),
            "title": submission.title,
            "currency": submission.currency,
            "queue": submission.queue,
            "budget": submission.budget,
            "revision": 1,
            "edition": 1,
            "last_event": 1,
            "status": "queued",
            "attempt": 0,
            "losses": 0,
            "stop_requested": False,
            "request_id": submission.request_id,
            "created_at": now,
        },
    ).one()
    events.begin(connection, "plan", plan_id, "queued", {"revision": 1, "queue": submission.queue}, now)
    return plan_row(written)


def _moulding_campaign(connection: Connection, workshop_id: str, submission: Submission, now: float) -> str:
    """The moulding campaign a new plan belongs to."""
    if submission.moulding_campaign_id is not None:
        return submission.moulding_campaign_id
    if submission.parent_id is not None:
        asked = {"workshop": workshop_id, "plan": submission.parent_id}
        known: str | None = connection.execute(_PARENTS, asked).scalar()
        if known is not None:
            return known
    made = new_id()
    connection.execute(
        _NEW_MOULDING_CAMPAIGN,
        {"id": made, "workshop_id": workshop_id, "name": submission.title, "created_at": now},
    )
    return made


def keep_campaign(connection: Connection, workshop_id: str, document: str, now: float) -> str:
    """Store a campaign document, once per workshop and content; gives its id."""
    digest = _digest(document)
    known: str | None = connection.execute(_KNOWN_CAMPAIGN, {"workshop": workshop_id, "digest": digest}).scalar()
    return known or _new_campaign(connection, workshop_id, document, digest, now)


def _digest(document: str) -> str:
    return hashlib.sha256(document.encode()).hexdigest()


def _new_campaign(connection: Connection, workshop_id: str, document: str, digest: str, now: float) -> str:
    campaign_id = new_id()
    connection.execute(
        _NEW_CAMPAIGN,
        {"id": campaign_id, "workshop_id": workshop_id, "sha256": digest, "document": document, "created_at": now},
    )
    note_bytes(connection, workshop_id, len(document))
    return campaign_id


def within_quota(connection: Connection, workshop_id: str, more_bytes: int) -> None:
    """Room for one plan or study more. Raises TooManyOpenPlans or TooManyBytes."""
    _check_quota(connection.execute(_QUOTA, {"workshop": workshop_id}).one(), more_bytes)


def _check_quota(quota: Row[*tuple[Any, ...]], more_bytes: int) -> None:
    if quota.unfinished >= quota.max_open_plans:
        raise TooManyOpenPlans(f"{quota.unfinished} plans and studies are waiting or being made")
    if quota.stored_bytes + more_bytes > quota.max_bytes:
        raise TooManyBytes(f"the workshop's {quota.max_bytes} bytes are used up")


def note_bytes(connection: Connection, workshop_id: str, more: int) -> None:
    """Documents of so many bytes were added (or, negative, deleted)."""
    connection.execute(_MORE_BYTES, {"workshop": workshop_id, "more": more})
