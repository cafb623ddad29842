"""Plans as their workshop reads them. Every query names the workshop: another's plan does not exist."""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import Connection, Row, bindparam, select, tuple_

from worker.records.statuses import OPEN
from worker.records.tables import Campaign, Plan, Revision


@dataclass(frozen=True)
class PlanRow:
    """A plan's standing. Times in seconds since 1970, UTC; money in the campaign's currency."""

    id: str
    title: str
    currency: str | None
    status: str
    ended_because: str | None
    problems: list[dict[str, str]]
    revision: int
    edition: int
    last_event: int
    queue: str
    budget: float
    phase: str | None
    share: float | None
    cost: float | None
    bound: float | None
    gap: float | None
    parent_id: str | None
    moulding_campaign_id: str | None
    stop_requested: bool
    created_at: float
    started_at: float | None
    finished_at: float | None

    @property
    def finished(self) -> bool:
        return self.status not in OPEN


_PLAN_COLUMNS = (  # of a PlanRow
    Plan.id,
    Plan.title,
    Plan.currency,
    Plan.status,
    Plan.ended_because,
    Plan.failure,
    Plan.revision,
    Plan.edition,
    Plan.last_event,
    Plan.queue,
    Plan.budget,
    Plan.phase,
    Plan.share,
    Plan.cost,
    Plan.bound,
    Plan.gap,
    Plan.parent_id,
    Plan.moulding_campaign_id,
    Plan.stop_requested,
    Plan.created_at,
    Plan.started_at,
    Plan.finished_at,
)


def _plan_row(row: Row[*tuple[Any, ...]]) -> PlanRow:
    """Made of a row of _PLAN_COLUMNS."""
    values = row._asdict()
    failure = values.pop("failure")
    return PlanRow(problems=json.loads(failure) if failure else [], **values)


_ONE = select(*_PLAN_COLUMNS).where(Plan.workshop_id == bindparam("workshop"), Plan.id == bindparam("plan"))


def find(connection: Connection, workshop_id: str, plan_id: str) -> PlanRow | None:
    """The workshop's plan of that id."""
    row = connection.execute(_ONE, {"workshop": workshop_id, "plan": plan_id}).one_or_none()
    return None if row is None else _plan_row(row)


@dataclass(frozen=True)
class Listed:
    """Which plans a list shows: those that have all of this. None: whatever they have."""

    status: str | None = None
    title: str | None = None
    parent_id: str | None = None


def page(
    connection: Connection,
    workshop_id: str,
    limit: int,
    before: tuple[float, str] | None = None,
    listed: Listed = Listed(),  # frozen
) -> list[PlanRow]:
    """Newest first. before: the (created_at, id) of the last plan already seen."""
    query = select(*_PLAN_COLUMNS).where(Plan.workshop_id == workshop_id)
    if before is not None:
        query = query.where(tuple_(Plan.created_at, Plan.id) < tuple_(*before))
    if listed.status is not None:
        query = query.where(Plan.status == listed.status)
    if listed.title is not None:
        query = query.where(Plan.title == listed.title)
    if listed.parent_id is not None:
        query = query.where(Plan.parent_id == listed.parent_id)
    query = query.order_by(Plan.created_at.desc(), Plan.id.desc()).limit(limit)
    return [_plan_row(row) for row in connection.execute(query)]


def line_of(connection: Connection, workshop_id: str, plan_id: str) -> Iterator[str]:
    """The plan's id and those of the plans it was made from, the nearest first; nothing from one on that is gone."""
    seen: set[str] = set()
    here: str | None = plan_id
    while here is not None and here not in seen:
        seen.add(here)
        query = select(Plan.id, Plan.parent_id).where(Plan.workshop_id == workshop_id, Plan.id == here)
        found = connection.execute(query).one_or_none()
        if found is None:
            return
        yield found.id
        here = found.parent_id


MOST_OF_A_CAMPAIGN = 500
"""Plans of one moulding campaign that are listed; the newest."""


def of_campaigns(connection: Connection, workshop_id: str, campaign_ids: Sequence[str]) -> dict[str, list[PlanRow]]:
    """Plans by moulding campaign, newest first."""
    found: dict[str, list[PlanRow]] = {}
    query = (
        select(*_PLAN_COLUMNS)
        .where(Plan.workshop_id == workshop_id, Plan.moulding_campaign_id.in_(campaign_ids))
        .order_by(Plan.created_at.desc(), Plan.id.desc())
        .limit(MOST_OF_A_CAMPAIGN * max(1, len(campaign_ids)))
    )
    for row in map(_plan_row, connection.execute(query)):
        if row.moulding_campaign_id is not None:
            found.setdefault(row.moulding_campaign_id, []).append(row)
    return {name: plans[:MOST_OF_A_CAMPAIGN] for name, plans in found.items()}


def document(connection: Connection, plan_id: str, number: int) -> str | None:
    """The run plan published as that revision, as JSON text. The caller has checked whose plan it is."""
    return connection.execute(
        select(Revision.document).where(Revision.plan_id == plan_id, Revision.number == number)
    ).scalar()


def newest_document(connection: Connection, plan_id: str) -> tuple[int, str] | None:
    """The newest published revision: its number and its JSON text."""
    row = connection.execute(
        select(Revision.number, Revision.document)
        .where(Revision.plan_id == plan_id)
        .order_by(Revision.number.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else (row.number, row.document)


def campaign_document(connection: Connection, workshop_id: str, plan_id: str) -> str | None:
    """The campaign the plan's newest revision is made from, as JSON text."""
    return connection.execute(
        select(Campaign.document)
        .join(Plan, Plan.campaign_id == Campaign.id)
        .where(Plan.workshop_id == workshop_id, Plan.id == plan_id)
    ).scalar()


@dataclass(frozen=True)
class RevisionRow:
    """One published run plan, without its document. Money in the campaign's currency, made_at in seconds since 1970."""

    number: int
    cost: float | None
    bound: float | None
    gap: float | None
    ended_because: str
    solve_seconds: float
    waited_seconds: float
    made_at: float


_REVISIONS = select(*(getattr(Revision, f.name) for f in fields(RevisionRow)))


def revisions(connection: Connection, plan_id: str) -> list[RevisionRow]:
    """The plan's published revisions, oldest first. The caller has checked whose plan it is."""
    rows = connection.execute(_REVISIONS.where(Revision.plan_id == plan_id).order_by(Revision.number))
    return [RevisionRow(*row) for row in rows]


def campaign_of_revision(connection: Connection, plan_id: str, number: int) -> str | None:
    """The campaign that published revision was made from, as JSON text. The caller has checked whose plan it is."""
    return connection.execute(
        select(Campaign.document)
        .join(Revision, Revision.campaign_id == Campaign.id)
        .where(Revision.plan_id == plan_id, Revision.number == number)
    ).scalar()
