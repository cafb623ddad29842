"""The orders of a moulding campaign: the book kept of its newest table, put right, planned from, told, erased."""

import json
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict, NotFound
from api.services.acting import now_acting
from api.services.begin import begun_from
from api.services.campaign_documents import ReadCampaign, read_campaign
from api.services.erasure import new_numbers
from api.services.finding import campaign_text, find_plan
from api.services.floor_log import as_document, log_of, refused_from_there
from api.services.lineage import line
from api.services.made_plans import made_plan
from api.services.reconciled import has_left, reconciled
from api.services.submitting import revised, submitted
from api.uploads.book import added, aside_heard, aside_said, lines_heard, lines_said
from api.uploads.compared import OrderChange
from api.uploads.document import planned_orders
from api.uploads.erased import known_again
from api.uploads.known import Known
from api.uploads.report import OrderLine, OrdersRead, SetAside
from planner.actuals.entries import Actuals, AnyEntry
from planner.actuals.remaining_campaign import from_here
from planner.campaign import Campaign
from planner.campaign.orders import OrderLine as CampaignLine
from planner.plan import RunPlan
from planner.reading import read
from planner.settled.open_orders import as_ordered
from worker.records import floor_log, history, order_imports, reading
from worker.records.order_imports import ImportRow
from worker.records.reading import PlanRow

NO_BOOK = "No table of orders was brought to this campaign."


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


def _keep_table(
    connection: Connection,
    workshop_id: str,
    moulding_campaign_id: str,
    file_name: str,
    said: dict[str, Any],
    lines: Sequence[OrderLine],
    asides: Sequence[SetAside],
    now: float,
) -> None:
    """Keep what was read of a table in the place of the one before. said: what the form says of it, and `read`, its
    columns."""
    told = [aside_said(aside) for aside in asides]
    order_imports.keep(connection, workshop_id, moulding_campaign_id, file_name, said, lines_said(lines), told, now)


def _keep_mended(
    connection: Connection, workshop_id: str, import_id: str, lines: list[OrderLine], asides: list[SetAside], now: float
) -> None:
    """Keep lines and rows set aside as they are after some were put right."""
    order_imports.change(
        connection, workshop_id, import_id, lines_said(lines), [aside_said(aside) for aside in asides], now
    )


@dataclass(frozen=True)
class _Planning:
    """Within one transaction, at one moment: the plan that another is to come from. largest_budget: seconds."""

    connection: Connection
    workshop_id: str
    plan_id: str
    largest_budget: float
    now: float

    def read(self, document: dict[str, Any]) -> ReadCampaign:
        """Raises InvalidCampaign."""
        return read_campaign(json.dumps(document, ensure_ascii=False).encode(), document, self.largest_budget)

    def submit_child(self, document: dict[str, Any], title: str) -> str:
        """Have a campaign planned as a plan of its own, the plan's child; gives its id. Raises InvalidCampaign and
        TooMany."""
        return submitted(self.connection, self.workshop_id, self.read(document), title, self.now, self.plan_id).id


def _plan_with(ask: _Planning, document: dict[str, Any], begun: RunPlan | None = None) -> str:
    """Have a changed campaign planned as the plan's next revision, from its order of work, or from that of `begun`;
    gives the plan's id.

    While the plan is still being made, it becomes a plan of its own beside it. Raises InvalidCampaign, TooMany, and
    Conflict once parcels are packed.
    """
    row = find_plan(ask.connection, ask.workshop_id, ask.plan_id)
    if floor_log.packing_began(ask.connection, ask.workshop_id, ask.plan_id):
        raise Conflict("Parcels of this plan are packed already; a table of all orders would send them again.")
    newest = reading.newest_document(ask.connection, ask.plan_id) if begun is None else None
    if newest is not None:
        begun = RunPlan.model_validate_json(newest[1])
    if begun is not None:
        document = begun_from(document, begun)
    if not row.finished:
        return ask.submit_child(document, row.title)
    revised(ask.connection, ask.workshop_id, ask.plan_id, ask.read(document), ask.now)
    return ask.plan_id


def _changed(ask: _Planning, document: dict[str, Any], begun: RunPlan | None) -> str:
    """Have a campaign of changed things, its orders as they were, planned; gives the plan's id. Raises Refused.

    It becomes the plan's next revision, or, once there is a log, a plan from where the floor stands.
    """
    entries = log_of(ask.connection, ask.workshop_id, ask.plan_id)
    if not entries:
        return _plan_with(ask, document, begun)
    made = made_plan(ask.connection, ask.workshop_id, ask.plan_id)
    with refused_from_there():
        left, as_of = _by_now(read(document), made.plan, entries)
    return _plan_from_here(ask, FromHere(as_document(left), [], as_of))


def _by_now(campaign: Campaign, plan: RunPlan, entries: list[AnyEntry]) -> tuple[Campaign, datetime]:
    """What the log leaves of a campaign, now or as late as it begins or anything was logged; and that moment."""
    here = datetime.now(ZoneInfo(campaign.time_zone)).replace(tzinfo=None, microsecond=0)
    as_of = max([here, campaign.start, *(entry.at for entry in entries)])
    return from_here(campaign, plan, Actuals(as_of=as_of, entries=entries)).campaign, as_of


@dataclass(frozen=True)
class FromHere:
    """The campaign as it stands by the log, with the orders that a new table leaves to be sent."""

    document: dict[str, Any]
    told: list[OrderChange]
    as_of: datetime


def _from_here_with(
    connection: Connection, workshop_id: str, plan_id: str, lines: Sequence[OrderLine], whole_table: bool
) -> FromHere:
    """What a new table of orders leaves to be sent, after parcels have left.

    Raises MappingProblem where an order has no number, Conflict where nothing is left, InvalidCampaign, NotFound.
    """
    made = made_plan(connection, workshop_id, plan_id)
    with refused_from_there():
        now, as_of = _by_now(made.campaign, made.plan, log_of(connection, workshop_id, plan_id))
    packed = _orders_left(connection, workshop_id, plan_id)
    known = Known.of_campaign(as_ordered(made.campaign))
    left = reconciled(as_ordered(now).orders, packed, lines, known, whole_table)
    if not left.orders:
        raise Conflict("By this table no order is left to be sent.")
    document = as_document(now)
    document["orders"] = [line.model_dump(mode="json", exclude_unset=True) for line in left.orders]
    return FromHere(document, left.told, as_of)


def _plan_from_here(ask: _Planning, here: FromHere) -> str:
    """Have that campaign planned as a child of the plan; gives its id. Raises InvalidCampaign and TooMany."""
    title = find_plan(ask.connection, ask.workshop_id, ask.plan_id).title
    return ask.submit_child(here.document, f"{title} from {here.as_of:%d %b %H:%M}"[:200])


def counted_aside(service: Service, workshop_id: str, moulding_campaign_id: str | None) -> int:
    """Rows of the newest table that are set aside."""
    with service.database.read() as connection:
        return order_imports.counted_aside(connection, workshop_id, moulding_campaign_id)


def of_plan(service: Service, workshop_id: str, plan_id: str) -> tuple[PlanRow, str, Book | None]:
    """The plan, its campaign as it was sent, and the order book of its moulding campaign. Raises NotFound."""
    with service.database.read() as connection:
        return _of_plan(connection, workshop_id, plan_id)


def _of_plan(connection: Connection, workshop_id: str, plan_id: str) -> tuple[PlanRow, str, Book | None]:
    row = find_plan(connection, workshop_id, plan_id)
    text = campaign_text(connection, workshop_id, plan_id)
    return row, text, book_of(connection, workshop_id, row.moulding_campaign_id)


def plan_changed(
    service: Service,
    workshop_id: str,
    plan_id: str,
    document: dict[str, Any],
    revision: int,
    begun: RunPlan | None = None,
) -> str | None:
    """Have a campaign of changed things, its orders as they were, planned; gives the plan's id, or None where the plan
    is no longer at that revision. Raises Refused.

    It becomes the plan's next revision, or, once there is a log, a plan from where the floor stands. begun: the plan
    whose order of work the search begins from; None: the newest revision's.
    """
    with service.database.write() as connection:
        if find_plan(connection, workshop_id, plan_id).revision != revision:
            return None
        ask = _Planning(connection, workshop_id, plan_id, service.settings.largest_budget, time.time())
        made = _changed(ask, document, begun)
    service.sender.nudge()
    return made


def left_after_packing(
    service: Service, workshop_id: str, plan_id: str, lines: Sequence[OrderLine], whole_table: bool
) -> list[OrderChange] | None:
    """What a table changes of the orders still to be sent; None while no parcel is packed. Raises Refused."""
    with service.database.read() as connection:
        if not floor_log.packing_began(connection, workshop_id, plan_id):
            return None
        return _from_here_with(connection, workshop_id, plan_id, lines, whole_table).told


def with_new_numbers(
    service: Service, workshop_id: str, plan_id: str, read: OrdersRead, column: str | None, before: Sequence[OrderLine]
) -> None:
    """Orders of a table whose numbers were erased on request go by the ones they have now: none is a new order.

    column: the one with order numbers. before: lines taken already.
    """
    with service.database.read() as connection:
        new = new_numbers(connection, workshop_id, find_plan(connection, workshop_id, plan_id).moulding_campaign_id)
    at = read.columns.index(column) if column in read.columns else None
    read.lines, read.set_aside = known_again(read.lines, read.set_aside, new, at, before)


@dataclass(frozen=True)
class Table:
    """A table that was read. said: what the form says of it. order_column: the one with order numbers, "" for none.
    adds: it holds further orders; otherwise all of them."""

    file_name: str
    said: dict[str, Any]
    read: OrdersRead
    order_column: str | None
    adds: bool


def plan_with_table(service: Service, workshop_id: str, plan_id: str, campaign: str, known: Known, table: Table) -> str:
    """Keep what was read and have the campaign planned with it, in one go; gives the plan's id. Raises Refused.

    plan_id: whose campaign it is; "": nobody's yet, it becomes a plan of its own. campaign: JSON text, perhaps without
    orders. known: what it knows.
    """
    now, lines, asides = time.time(), table.read.lines, table.read.set_aside
    with service.database.write() as connection:
        ask = _Planning(connection, workshop_id, plan_id, service.settings.largest_budget, now)
        if plan_id:
            row = find_plan(connection, workshop_id, plan_id)
            book = book_of(connection, workshop_id, row.moulding_campaign_id)
            if book is not None and table.adds:
                whole = added(book.lines, book.asides, book.columns, table.order_column, table.read)
                lines, asides = whole.lines, whole.set_aside
        document = planned_orders(lines, known).into(json.loads(campaign))
        if plan_id and floor_log.packing_began(connection, workshop_id, plan_id):
            here = _from_here_with(connection, workshop_id, plan_id, table.read.lines, not table.adds)
            made = _plan_from_here(ask, here)
        elif plan_id:
            made = _plan_with(ask, document)
        else:
            ready = ask.read(document)
            made = submitted(connection, workshop_id, ready, ready.campaign.name, now).id
        campaign_id = find_plan(connection, workshop_id, made).moulding_campaign_id
        assert campaign_id is not None
        said = table.said | {"read": list(table.read.columns)}
        _keep_table(connection, workshop_id, campaign_id, table.file_name, said, lines, asides, now)
        name = table.file_name or "a table without a name"
        how = "added" if table.adds else "brought"
        what = f"orders {how} from {name}: {len(lines):,} lines, {len(asides):,} set aside"
        history.add(connection, workshop_id, made, now_acting().who, what, now)
    service.sender.nudge()
    return made


class BookChanged(Exception):
    """Somebody put rows right meanwhile."""


@dataclass(frozen=True)
class Mended:
    """Order lines and rows set aside, after some were put right."""

    lines: list[OrderLine]
    set_aside: list[SetAside]


def mend(
    service: Service,
    workshop_id: str,
    plan_id: str,
    seen: tuple[str | None, str | None],
    again: Callable[[Book, Known], Mended],
    plan: bool,
) -> str:
    """Keep what `again` makes of the order book, and have the campaign planned with it if `plan`; gives the plan's id.

    seen: the table's id and the number of rows set aside, as the caller saw them. Raises BookChanged, NotFound where
    there is no book, what `again` raises, and Refused.
    """
    now, made = time.time(), plan_id
    with service.database.write() as connection:
        ask = _Planning(connection, workshop_id, plan_id, service.settings.largest_budget, now)
        _, text, book = _of_plan(connection, workshop_id, plan_id)
        if book is None:
            raise NotFound(NO_BOOK)
        if seen != (book.row.id, str(len(book.asides))):
            raise BookChanged
        known = Known.of_campaign(Campaign.model_validate_json(text))
        whole = again(book, known)
        new = new_numbers(connection, workshop_id, find_plan(connection, workshop_id, plan_id).moulding_campaign_id)
        fresh, asides = known_again(whole.lines[len(book.lines) :], whole.set_aside, new, before=book.lines)
        whole = Mended([*book.lines, *fresh], asides)
        _keep_mended(connection, workshop_id, book.row.id, whole.lines, whole.set_aside, now)
        gone = len(book.asides) - len(whole.set_aside)
        said = f"{gone:,} rows set aside put right or forgotten, {len(whole.set_aside):,} left"
        history.add(connection, workshop_id, plan_id, now_acting().who, said, now)
        if plan and floor_log.packing_began(connection, workshop_id, plan_id):
            here = _from_here_with(connection, workshop_id, plan_id, whole.lines, whole_table=False)
            made = _plan_from_here(ask, here)
        elif plan:
            made = _plan_with(ask, planned_orders(whole.lines, known).into(json.loads(text)))
    if plan:
        service.sender.nudge()
    return made


def orders_left(service: Service, workshop_id: str, plan_id: str) -> dict[str, CampaignLine]:
    """Orders that have left, by their number in its one spelling; see `has_left`."""
    with service.database.read() as connection:
        return _orders_left(connection, workshop_id, plan_id)


def _orders_left(connection: Connection, workshop_id: str, plan_id: str) -> dict[str, CampaignLine]:
    """Orders that have left, by their number in its one spelling; see `has_left`."""
    from_the_first = reversed(list(line(connection, workshop_id, plan_id)))
    return has_left([(one.campaign.orders, one.log) for one in from_the_first])
