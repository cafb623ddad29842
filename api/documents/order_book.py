"""The order book of a plan's moulding campaign: brought in from a table, put right, planned from, told, erased."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from api.plans.begin import begun_from
from api.plans.campaigns import read_campaign
from api.plans.finding import find_plan
from api.plans.quota import submitted, within_quota
from api.problems import Conflict
from api.uploads.book import aside_heard, aside_said, lines_heard, lines_said
from api.uploads.report import OrderLine, SetAside
from planner.plan import RunPlan
from worker.records import changing, floor, order_imports, reading
from worker.records.order_imports import ImportRow


@dataclass(frozen=True)
class Book:
    """What is kept of the newest table of orders."""

    row: ImportRow
    lines: list[OrderLine]
    asides: list[SetAside]

    @property
    def columns(self) -> list[str]:
        """The columns that are read, as in the table."""
        return [str(name) for name in self.row.said["read"]]


def book_of(connection: Connection, workshop_id: str, moulding_campaign_id: str | None) -> Book | None:
    """The order book of a moulding campaign; None where no table of orders was ever brought."""
    row = order_imports.newest(connection, workshop_id, moulding_campaign_id)
    if row is None:
        return None
    asides = order_imports.set_aside(connection, workshop_id, row.id)
    return Book(row, lines_heard(row.lines), [aside_heard(one.row_number, one.reason, one.row) for one in asides])


def keep_table(
    connection: Connection,
    workshop_id: str,
    moulding_campaign_id: str,
    file_name: str,
    said: dict[str, Any],
    columns: Sequence[str],
    lines: Sequence[OrderLine],
    asides: Sequence[SetAside],
    now: float,
) -> None:
    """Keep what was read of a table in the place of the one before. said: what the form says of it."""
    known = said | {"read": list(columns)}
    told = [aside_said(aside) for aside in asides]
    order_imports.keep(connection, workshop_id, moulding_campaign_id, file_name, known, lines_said(lines), told, now)


def keep_mended(
    connection: Connection, workshop_id: str, import_id: str, lines: list[OrderLine], asides: list[SetAside], now: float
) -> None:
    """Keep lines and rows set aside as they are after some were put right."""
    order_imports.change(
        connection, workshop_id, import_id, lines_said(lines), [aside_said(aside) for aside in asides], now
    )


def plan_with(
    connection: Connection, workshop_id: str, plan_id: str, document: dict[str, Any], largest_budget: float, now: float
) -> str:
    """Have a changed campaign planned as the plan's next revision, from its order of work; gives the plan's id.

    While the plan is still being made, it becomes a plan of its own beside it. Raises InvalidCampaign, TooMany, and
    Conflict once parcels are packed.
    """
    row = find_plan(connection, workshop_id, plan_id)
    if floor.packing_began(connection, workshop_id, plan_id):
        raise Conflict("Parcels of this plan are packed already; a table of all orders would send them again.")
    newest = reading.newest_document(connection, plan_id)
    if newest is not None:
        document = begun_from(document, RunPlan.model_validate_json(newest[1]))
    read = read_campaign(json.dumps(document, ensure_ascii=False).encode(), document, largest_budget)
    if not row.finished:
        return submitted(connection, workshop_id, read, row.title, now, plan_id).id
    with within_quota():
        changing.plan_anew(connection, workshop_id, plan_id, read.document, read.budget, read.queue, now)
    return plan_id
