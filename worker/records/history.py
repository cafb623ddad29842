"""A moulding campaign's history: who did what to it, and when. Every statement names the workshop."""

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, select

from worker.records.ids import new_id
from worker.records.tables import HistoryEntry, Plan

LONGEST = 2000
"""Characters of what is said of one change."""
_NEW_CHANGES = insert(HistoryEntry)  # written once: to put a statement together takes longer than to carry it out


@dataclass(frozen=True)
class ChangeRow:
    """who: the label of the key that was used. what: in words. at: seconds since 1970, UTC."""

    plan_id: str | None
    who: str
    what: str
    at: float


def add(connection: Connection, workshop_id: str, plan_id: str, who: str, what: str, now: float) -> None:
    """Something was done to the campaign of that plan; nothing where it belongs to none."""
    campaign = connection.execute(
        select(Plan.moulding_campaign_id).where(Plan.workshop_id == workshop_id, Plan.id == plan_id)
    ).scalar()
    if campaign is not None:
        add_to_campaign(connection, workshop_id, campaign, ChangeRow(plan_id, who, what, now))


def add_to_campaign(connection: Connection, workshop_id: str, campaign_id: str, change: ChangeRow) -> None:
    """The caller has checked whose campaign it is."""
    add_to_campaigns(connection, [(workshop_id, campaign_id, change)])


def add_to_campaigns(connection: Connection, changes: Sequence[tuple[str, str, ChangeRow]]) -> None:
    """As `add_to_campaign`, several at once: workshop, campaign and change of each."""
    if not changes:
        return
    connection.execute(
        _NEW_CHANGES,
        [
            {
                "id": new_id(),
                "workshop_id": workshop_id,
                "moulding_campaign_id": campaign_id,
                "plan_id": change.plan_id,
                "who": change.who[:200],
                "what": change.what[:LONGEST],
                "at": change.at,
            }
            for workshop_id, campaign_id, change in changes
        ],
    )


def of_campaign(connection: Connection, workshop_id: str, campaign_id: str, limit: int) -> list[ChangeRow]:
    """The newest first."""
    rows = connection.execute(
        select(HistoryEntry.plan_id, HistoryEntry.who, HistoryEntry.what, HistoryEntry.at)
        .where(HistoryEntry.workshop_id == workshop_id, HistoryEntry.moulding_campaign_id == campaign_id)
        .order_by(HistoryEntry.at.desc(), HistoryEntry.id.desc())
        .limit(limit)
    )
    return [ChangeRow(*row) for row in rows]
