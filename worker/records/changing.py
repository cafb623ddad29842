"""What a maker may do to a plan beside stopping it (see `ending`): name it, plan it anew, delete it."""

from sqlalchemy import Connection, delete, func, select, update

from worker.records import events, order_imports
from worker.records.statuses import OPEN
from worker.records.submitting import keep_campaign, note_bytes
from worker.records.tables import Campaign, Plan, Revision, Study


class StillOpen(Exception):
    """The plan is waiting or being made."""


def retitle(connection: Connection, plan_id: str, title: str) -> None:
    """Give the plan another name."""
    connection.execute(update(Plan).where(Plan.id == plan_id).values(title=title, edition=Plan.edition + 1))


def plan_anew(
    connection: Connection, workshop_id: str, plan_id: str, document: str, budget: float, queue: str, now: float,
    currency: str | None = None,
) -> int:  # fmt: skip
    """Queue the plan's next revision from a changed campaign; gives its number.

    Raises StillOpen while the last one is not finished.
    """
    changed = connection.execute(
        update(Plan)
        .where(Plan.id == plan_id, Plan.status.not_in(OPEN))
        .values(
            campaign_id=keep_campaign(connection, workshop_id, document, now),
            currency=currency or Plan.currency,
            status="queued",
            revision=_next_revision(connection, plan_id),
            edition=Plan.edition + 1,
            budget=budget,
            queue=queue,
            ended_because=None,
            failure=None,
            share=None,
            losses=0,
            so_far=None,
            worked=0.0,
            sent_at=None,
            stop_requested=False,
            finished_at=None,
        )
        .returning(Plan.revision)
    ).scalar()
    if changed is None:
        raise StillOpen
    events.append(connection, "plan", plan_id, "queued", {"revision": changed, "queue": queue}, now)
    return changed


def _next_revision(connection: Connection, plan_id: str) -> int:
    last = connection.execute(
        select(Revision.number).where(Revision.plan_id == plan_id).order_by(Revision.number.desc()).limit(1)
    ).scalar()
    return (last or 0) + 1


def remove(connection: Connection, plan_id: str) -> None:
    """Delete a plan with its revisions, events and studies, and its campaigns if no other plan uses them."""
    used = select(Plan.campaign_id).where(Plan.id == plan_id)
    revised = select(Revision.campaign_id).where(Revision.plan_id == plan_id)
    campaigns = set(connection.execute(used.union(revised)).scalars())
    freed = connection.execute(
        select(func.coalesce(func.sum(func.length(Revision.document)), 0)).where(Revision.plan_id == plan_id)
    ).scalar_one()
    freed += connection.execute(
        select(func.coalesce(func.sum(func.length(Study.result)), 0)).where(Study.plan_id == plan_id)
    ).scalar_one()
    gone = connection.execute(
        delete(Plan).where(Plan.id == plan_id).returning(Plan.workshop_id, Plan.moulding_campaign_id)
    ).one_or_none()
    if gone is None:
        return
    workshop_id = gone.workshop_id
    if gone.moulding_campaign_id is not None:
        freed += order_imports.remove_if_empty(connection, workshop_id, gone.moulding_campaign_id)
    for campaign_id in sorted(campaigns):
        others = select(Plan.id).where(Plan.campaign_id == campaign_id)
        older = select(Revision.plan_id).where(Revision.campaign_id == campaign_id)
        if connection.execute(others.union_all(older).limit(1)).first() is None:
            freed += connection.execute(
                delete(Campaign).where(Campaign.id == campaign_id).returning(func.length(Campaign.document))
            ).scalar_one()
    note_bytes(connection, workshop_id, -int(freed))
