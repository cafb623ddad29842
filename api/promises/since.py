"""What changed since the last update for supporters, from the records: the floor's log, and planning again."""

from sqlalchemy import Connection

from api.actuals.entries import ENTRY
from planner.actuals.happened import happened
from planner.campaign import Campaign
from worker.records import floor, reading
from worker.records.floor import UpdateKept


def changes_since(connection: Connection, workshop_id: str, plan_id: str, last: UpdateKept | None) -> list[str]:
    """In words, over this plan and those it was made from, back to the one that update was about; none: nothing."""
    if last is None:
        return []
    said: list[str] = []
    seen: set[str] = set()
    here: str | None = plan_id
    while here is not None and here not in seen:
        seen.add(here)
        row = reading.find(connection, workshop_id, here)
        document = reading.campaign_document(connection, workshop_id, here)
        if row is None or document is None:
            break
        new = [e for e in floor.entries(connection, workshop_id, here) if e.created_at > last.created_at]
        if new:
            said = (
                happened(Campaign.model_validate_json(document), [ENTRY.validate_python(e.entry) for e in new]) + said
            )
        if here == last.plan_id:
            if row.finished_at is not None and row.finished_at > last.created_at:
                said.append("planned anew")
            break
        here = row.parent_id
    if plan_id != last.plan_id:
        said.append("planned again from there")
    return said
