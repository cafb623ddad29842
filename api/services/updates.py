"""Updates for supporters: what the records say since the last one, and what is kept of a new one."""

import json
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection

from api.service import Service
from api.services.acting import now_acting
from api.services.finding import find_plan
from api.services.floor_log import as_entries
from api.services.lineage import line
from api.services.made_plans import Made, made_plan
from planner import wording
from planner.actuals.entries import CameBack, Packed
from planner.actuals.happened import happened
from planner.promise.document import Promise
from planner.promise.supporters import reasons
from planner.promise.update import Before, Update, make_update
from worker.records import floor_log, history
from worker.records.floor_log import UpdateKept


@dataclass(frozen=True)
class Standing:
    """Where a moulding campaign stands. packed: parcels by tier. last: what supporters were told before. since: what
    changed since then, in words."""

    made: Made
    packed: dict[str, int]
    last: Update | None
    since: list[str]

    def update(self, title: str, promise: Promise, day: date, more: Sequence[str] = ()) -> Update:
        """The update of that day. title: "" for the campaign's name. more: what the maker adds in own words."""
        campaign = self.made.campaign
        before = Before(self.packed, self.last, [*self.since, *more])
        return make_update(title or campaign.name, promise, day, before, reasons(campaign, self.made.plan, promise))


def standing(service: Service, workshop_id: str, plan_id: str) -> Standing:
    """Of a plan that is made, and of those it was made from. Raises what `made_plan` raises."""
    with service.database.read() as connection:
        made = made_plan(connection, workshop_id, plan_id)
        told = floor_log.last_update(connection, workshop_id, plan_id)
        packed = _packed(connection, workshop_id, plan_id)
        since = changes_since(connection, workshop_id, plan_id, told)
    return Standing(made, packed, Update.model_validate_json(told.document) if told else None, since)


def keep(service: Service, workshop_id: str, plan_id: str, update: Update) -> None:
    """Remember what supporters are told. Raises what `made_plan` raises."""
    document, now = update.model_dump_json(), time.time()
    # in no reader's own language: whoever reads the history has it translated
    days = ", ".join(f"{tier.tier}: {wording.day(tier.day)}" for tier in update.tiers)
    with service.database.write() as connection:
        made_plan(connection, workshop_id, plan_id)
        floor_log.keep_update(connection, workshop_id, plan_id, document, now)
        history.add(connection, workshop_id, plan_id, now_acting().who, f"sent an update: {days}", now)


@dataclass(frozen=True)
class Sent:
    """An update that was kept. at: seconds since 1970, UTC."""

    plan_id: str
    update: Update
    at: float


def sent(service: Service, workshop_id: str, plan_id: str) -> list[Sent]:
    """What supporters were told of the plan and of those it was made from, the newest first. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        kept = floor_log.updates(connection, workshop_id, plan_id)
    return [Sent(one.plan_id, Update.model_validate_json(one.document), one.created_at) for one in kept]


def changes_since(connection: Connection, workshop_id: str, plan_id: str, last: UpdateKept | None) -> list[str]:
    """In words, over this plan and those it was made from, back to the one that update was about; none: nothing."""
    if last is None:
        return []
    said: list[str] = []
    for one in line(connection, workshop_id, plan_id):
        new = [entry for entry in one.logged if entry.created_at > last.created_at]
        if new:
            said = happened(one.campaign, as_entries(new)) + said
        if one.row.id == last.plan_id:
            if one.row.finished_at is not None and one.row.finished_at > last.created_at:
                said.append("the rest was planned again")
            break
    if plan_id != last.plan_id:
        said.append("the rest was planned again from where things stood")
    return said


def _packed(connection: Connection, workshop_id: str, plan_id: str) -> dict[str, int]:
    """Tier -> parcels packed, over this plan and those it was planned again from."""
    packed: Counter[str] = Counter()
    for one in line(connection, workshop_id, plan_id):
        orders = json.loads(one.campaign_text)["orders"]
        for entry in one.log:
            if isinstance(entry, Packed) and entry.line < len(orders):
                packed[orders[entry.line]["tier"]] += entry.parcels
            elif isinstance(entry, CameBack) and entry.again:
                tier = entry.order.tier if entry.order is not None else orders[entry.line]["tier"]
                packed[tier] -= entry.parcels
    return dict(packed)
