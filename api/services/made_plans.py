"""A plan that is made, with its campaign: what plans and studies are made from."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict, NotFound
from api.services.finding import find_plan
from planner.campaign import Campaign
from planner.plan import RunPlan
from planner.reading import read
from worker.records import reading
from worker.records.reading import PlanRow


@dataclass(frozen=True)
class Made:
    """A plan that is made: its row, its campaign as sent, its newest run plan. Both as JSON text."""

    row: PlanRow
    campaign_text: str
    plan_text: str

    @property
    def document(self) -> Any:
        """The campaign as it was sent."""
        return json.loads(self.campaign_text)

    @property
    def campaign(self) -> Campaign:
        return read(self.document)

    @property
    def plan(self) -> RunPlan:
        return RunPlan.model_validate_json(self.plan_text)


def made_plan(connection: Connection, workshop_id: str, plan_id: str) -> Made:
    """The workshop's plan, which must be made. Raises NotFound or Conflict."""
    row = find_plan(connection, workshop_id, plan_id)
    campaign = reading.campaign_document(connection, workshop_id, plan_id)
    newest = reading.newest_document(connection, plan_id)
    if campaign is None:
        raise NotFound("This workshop has no such plan.")
    if newest is None:
        raise Conflict(f"The plan is {row.status}; there is no run plan to go on from yet.")
    if newest[0] != row.revision:
        raise Conflict(f"The plan is {row.status}: its campaign was changed and is not planned yet.")
    return Made(row, campaign, newest[1])


def made(service: Service, workshop_id: str, plan_id: str) -> Made:
    """As `made_plan`, in a transaction of its own."""
    with service.database.read() as connection:
        return made_plan(connection, workshop_id, plan_id)


def with_variants(
    service: Service, workshop_id: str, plan_id: str, limit: int
) -> tuple[Made, list[tuple[PlanRow, tuple[int, str] | None]]]:
    """The plan, and the newest of those made from it, each with its newest revision where it is done."""
    with service.database.read() as connection:
        base = made_plan(connection, workshop_id, plan_id)
        rows = reading.page(connection, workshop_id, limit, listed=reading.Listed(parent_id=plan_id))
        return base, [
            (row, reading.newest_document(connection, row.id) if row.status == "done" else None) for row in rows
        ]


def with_parent(service: Service, workshop_id: str, plan_id: str, other: str | None, none: str) -> tuple[Made, Made]:
    """The plan and another, its parent where none is named. Raises NotFound, saying `none`, where there is none."""
    with service.database.read() as connection:
        here = made_plan(connection, workshop_id, plan_id)
        before = other or here.row.parent_id
        if before is None or reading.find(connection, workshop_id, before) is None:
            raise NotFound(none)
        return here, made_plan(connection, workshop_id, before)
