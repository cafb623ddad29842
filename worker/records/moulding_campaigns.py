"""Moulding campaigns as their workshop lists them: named, put away, deleted and taken back. Every query names it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from sqlalchemy import Connection, func, select, tuple_, update

from worker.records import changing
from worker.records.reading import PlanRow
from worker.records.reading import of_campaigns as plans_of
from worker.records.tables import MouldingCampaign, Plan, Workshop

Shelf = Literal["current", "archived", "deleted"]


@dataclass(frozen=True)
class CampaignRow:
    """One moulding campaign. plans: newest first. Times in seconds since 1970, UTC."""

    id: str
    name: str
    created_at: float
    archived_at: float | None
    deleted_at: float | None
    plans: tuple[PlanRow, ...] = ()

    @property
    def main(self) -> PlanRow | None:
        """The newest plan but for what was only tried beside another, which is called `its title: what was tried`: a
        price asked for leaves the campaign what it was."""
        titles = {plan.id: plan.title for plan in self.plans}
        beside = {plan.id for plan in self.plans if plan.title.startswith(f"{titles.get(plan.parent_id or '')}: ")}
        return next((plan for plan in self.plans if plan.id not in beside), next(iter(self.plans), None))


_COLUMNS = tuple(getattr(MouldingCampaign, name) for name in ("id", "name", "created_at", "archived_at", "deleted_at"))


def page(
    connection: Connection,
    workshop_id: str,
    limit: int,
    before: tuple[float, str] | None = None,
    shelf: Shelf = "current",
    search: str = "",
    by_name: bool = False,
) -> list[CampaignRow]:
    """The newest first, or by name. before: the (created_at, id) of the last one already seen, where newest first."""
    query = select(*_COLUMNS).where(MouldingCampaign.workshop_id == workshop_id)
    if shelf == "deleted":
        query = query.where(MouldingCampaign.deleted_at.is_not(None))
    else:
        kept_away = MouldingCampaign.archived_at
        query = query.where(MouldingCampaign.deleted_at.is_(None))
        query = query.where(kept_away.is_(None) if shelf == "current" else kept_away.is_not(None))
    if search:
        query = query.where(func.lower(MouldingCampaign.name).contains(search.lower(), autoescape=True))
    if by_name:
        query = query.order_by(func.lower(MouldingCampaign.name), MouldingCampaign.id)
    else:
        if before is not None:
            query = query.where(tuple_(MouldingCampaign.created_at, MouldingCampaign.id) < tuple_(*before))
        query = query.order_by(MouldingCampaign.created_at.desc(), MouldingCampaign.id.desc())
    rows = [CampaignRow(*row) for row in connection.execute(query.limit(limit))]
    return _with_plans(connection, workshop_id, rows)


def owner(connection: Connection, workshop_id: str) -> tuple[str, bool]:
    """The workshop's name, and whether another one has campaigns."""
    name = connection.execute(select(Workshop.name).where(Workshop.id == workshop_id)).scalar_one()
    other = select(MouldingCampaign.id).where(MouldingCampaign.workshop_id != workshop_id).limit(1)
    return name, connection.execute(other).first() is not None


def find(connection: Connection, workshop_id: str, campaign_id: str | None) -> CampaignRow | None:
    """The workshop's moulding campaign of that id, with its plans."""
    row = connection.execute(
        select(*_COLUMNS).where(MouldingCampaign.workshop_id == workshop_id, MouldingCampaign.id == campaign_id)
    ).one_or_none()
    return None if row is None else _with_plans(connection, workshop_id, [CampaignRow(*row)])[0]


def rename(connection: Connection, workshop_id: str, campaign_id: str, name: str) -> None:
    """Another name in the list; plans that went by the old one go by it too."""
    row = find(connection, workshop_id, campaign_id)
    if row is None:
        return
    connection.execute(
        update(MouldingCampaign)
        .where(MouldingCampaign.workshop_id == workshop_id, MouldingCampaign.id == campaign_id)
        .values(name=name)
    )
    for plan in row.plans:
        if plan.title == row.name:
            changing.retitle(connection, plan.id, name)


def archive(connection: Connection, workshop_id: str, campaign_id: str, now: float | None) -> None:
    """Put it away; None: take it back."""
    _mark(connection, workshop_id, campaign_id, archived_at=now)


def delete(connection: Connection, workshop_id: str, campaign_id: str, now: float | None) -> None:
    """Out of every list, its plans kept; None: take it back."""
    _mark(connection, workshop_id, campaign_id, deleted_at=now)


def delete_for_good(connection: Connection, workshop_id: str, campaign_id: str) -> None:
    """With all its plans, orders and logs: nothing of it is kept."""
    plans = select(Plan.id).where(Plan.workshop_id == workshop_id, Plan.moulding_campaign_id == campaign_id)
    for plan_id in list(connection.execute(plans).scalars()):
        changing.remove(connection, plan_id)


def _mark(connection: Connection, workshop_id: str, campaign_id: str, **when: float | None) -> None:
    connection.execute(
        update(MouldingCampaign)
        .where(MouldingCampaign.workshop_id == workshop_id, MouldingCampaign.id == campaign_id)
        .values(**when)
    )


def _with_plans(connection: Connection, workshop_id: str, rows: Sequence[CampaignRow]) -> list[CampaignRow]:
    found = plans_of(connection, workshop_id, [row.id for row in rows])
    return [
        CampaignRow(row.id, row.name, row.created_at, row.archived_at, row.deleted_at, tuple(found.get(row.id, ())))
        for row in rows
    ]
