"""The order book of a plan's moulding campaign: brought in from a table, put right, planned from, told, erased."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from api.actuals.entries import log_of
from api.documents.reconciled import has_left, reconciled
from api.http.problems import Conflict, InvalidCampaign
from api.services.begin import begun_from
from api.services.campaign_documents import read_campaign
from api.services.finding import find_plan
from api.services.made_plans import made_plan
from api.services.submitting import submitted, within_quota
from api.uploads.book import aside_heard, aside_said, lines_heard, lines_said
from api.uploads.compared import OrderChange
from api.uploads.known import Known
from api.uploads.report import OrderLine, SetAside
from planner.actuals.entries import Actuals, AnyEntry
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine as CampaignLine
from planner.errors import CampaignProblems
from planner.plan import RunPlan
from planner.reading import read
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


def plan_changed(
    connection: Connection, workshop_id: str, plan_id: str, document: dict[str, Any], largest_budget: float, now: float
) -> str:
    """Have a campaign of changed things, its orders as they were, planned; gives the plan's id. Raises Refused.

    It becomes the plan's next revision, or, once there is a log, a plan from where the floor stands.
    """
    entries = log_of(connection, workshop_id, plan_id)
    if not entries:
        return plan_with(connection, workshop_id, plan_id, document, largest_budget, now)
    made = made_plan(connection, workshop_id, plan_id)
    try:
        campaign = read(document)
        here = datetime.now(ZoneInfo(campaign.time_zone)).replace(tzinfo=None, microsecond=0)
        as_of = max([here, campaign.start, *(entry.at for entry in entries)])
        left = from_here(campaign, made.plan, Actuals(as_of=as_of, entries=entries)).campaign
    except CampaignProblems as error:
        raise InvalidCampaign("The campaign cannot be planned from there.", error.problems[:100]) from None
    changed = left.model_dump(mode="json", by_alias=True, exclude_unset=True)
    return plan_from_here(connection, workshop_id, plan_id, FromHere(changed, [], as_of), largest_budget, now)


@dataclass(frozen=True)
class FromHere:
    """The campaign as it stands by the log, with the orders that a new table leaves to be sent."""

    document: dict[str, Any]
    told: list[OrderChange]
    as_of: datetime


def from_here_with(
    connection: Connection, workshop_id: str, plan_id: str, lines: Sequence[OrderLine], whole_table: bool
) -> FromHere:
    """What a new table of orders leaves to be sent, after parcels have left.

    Raises MappingProblem where an order has no number, Conflict where nothing is left, InvalidCampaign, NotFound.
    """
    made = made_plan(connection, workshop_id, plan_id)
    entries = log_of(connection, workshop_id, plan_id)
    here = datetime.now(ZoneInfo(made.campaign.time_zone)).replace(tzinfo=None, microsecond=0)
    as_of = max([here, made.campaign.start, *(entry.at for entry in entries)])
    try:
        now = from_here(made.campaign, made.plan, Actuals(as_of=as_of, entries=entries)).campaign
    except CampaignProblems as error:
        raise InvalidCampaign("The campaign cannot be planned from there.", error.problems[:100]) from None
    packed = orders_left(connection, workshop_id, plan_id)
    left = reconciled(now.orders, packed, lines, Known.of_campaign(made.campaign), whole_table)
    if not left.orders:
        raise Conflict("By this table no order is left to be sent.")
    document = now.model_dump(mode="json", by_alias=True, exclude_unset=True)
    document["orders"] = [line.model_dump(mode="json", exclude_unset=True) for line in left.orders]
    return FromHere(document, left.told, as_of)


def plan_from_here(
    connection: Connection, workshop_id: str, plan_id: str, here: FromHere, largest_budget: float, now: float
) -> str:
    """Have that campaign planned as a child of the plan; gives its id. Raises InvalidCampaign and TooMany."""
    read = read_campaign(json.dumps(here.document, ensure_ascii=False).encode(), here.document, largest_budget)
    title = f"{find_plan(connection, workshop_id, plan_id).title} from {here.as_of:%d %b %H:%M}"
    return submitted(connection, workshop_id, read, title[:200], now, plan_id).id


def orders_left(connection: Connection, workshop_id: str, plan_id: str) -> dict[str, CampaignLine]:
    """Orders that have left, by their number in plain spelling; see `has_left`."""
    return has_left(_line_of_plans(connection, workshop_id, plan_id))


def _line_of_plans(
    connection: Connection, workshop_id: str, plan_id: str
) -> list[tuple[list[CampaignLine], list[AnyEntry]]]:
    """Orders and log of the plan and of those it was made from, the first one first."""
    found: list[tuple[list[CampaignLine], list[AnyEntry]]] = []
    seen: set[str] = set()
    here: str | None = plan_id
    while here is not None and here not in seen:
        seen.add(here)
        row = reading.find(connection, workshop_id, here)
        document = reading.campaign_document(connection, workshop_id, here)
        if row is None or document is None:
            break
        orders = Campaign.model_validate_json(document).orders
        found.append((orders, log_of(connection, workshop_id, here)))
        here = row.parent_id
    return found[::-1]
