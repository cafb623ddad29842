"""Moulding campaigns: all plans of one job, listed, renamed, put away and taken back."""

import time
from dataclasses import dataclass
from typing import Literal

from api.service import Service
from api.service.refusals import NotFound
from api.services.acting import now_acting
from api.services.finding import find_plan
from worker.records import history, moulding_campaigns
from worker.records.history import ChangeRow
from worker.records.moulding_campaigns import CampaignRow, Shelf
from worker.records.reading import PlanRow

SAID = {
    "rename": "renamed",
    "archive": "archived",
    "unarchive": "taken out of the archive",
    "delete": "deleted",
    "undelete": "taken back",
}
"""What is done -> as its history says it; of what is deleted for good nothing is kept."""
Done = Literal["rename", "archive", "unarchive", "delete", "undelete", "for-good"]


def page(
    service: Service, workshop_id: str, limit: int, before: tuple[float, str] | None, shelf: Shelf, title: str,
    by_name: bool,
) -> list[CampaignRow]:  # fmt: skip
    """Newest first, or by name. before: the (created_at, id) of the last one already seen."""
    with service.database.read() as connection:
        return moulding_campaigns.page(connection, workshop_id, limit, before, shelf, title, by_name=by_name)


@dataclass(frozen=True)
class Owner:
    """Whose campaigns are listed. others: whether the service has other workshops with campaigns in them."""

    name: str
    others: bool


def owner_of_list(service: Service, workshop_id: str) -> Owner:
    """The caller's workshop."""
    with service.database.read() as connection:
        return Owner(*moulding_campaigns.owner(connection, workshop_id))


def of_plan(service: Service, workshop_id: str, plan_id: str) -> tuple[PlanRow, CampaignRow]:
    """The plan and the campaign it belongs to. Raises NotFound."""
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        campaign = moulding_campaigns.find(connection, workshop_id, row.moulding_campaign_id)
    if campaign is None:
        raise NotFound("This plan belongs to no campaign.")
    return row, campaign


def told(service: Service, workshop_id: str, campaign_id: str, limit: int) -> list[ChangeRow]:
    """The campaign's history, the newest first."""
    with service.database.read() as connection:
        return history.of_campaign(connection, workshop_id, campaign_id, limit)


def change(service: Service, workshop_id: str, campaign_id: str, done: Done, name: str = "") -> None:
    """Rename the campaign, put it away, take it back, or delete it for good. name: the new one."""
    now = time.time()
    with service.database.write() as connection:
        if done in SAID:
            what = ChangeRow(None, now_acting().who, SAID[done] + (f": {name}" if done == "rename" else ""), now)
            history.add_to_campaign(connection, workshop_id, campaign_id, what)
        here = (connection, workshop_id, campaign_id)
        match done:
            case "rename":
                moulding_campaigns.rename(*here, name)
            case "archive" | "unarchive":
                moulding_campaigns.archive(*here, now if done == "archive" else None)
            case "delete" | "undelete":
                moulding_campaigns.delete(*here, now if done == "delete" else None)
            case "for-good":
                moulding_campaigns.delete_for_good(*here)
