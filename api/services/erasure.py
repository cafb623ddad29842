"""What is kept of somebody's orders, given out and erased on request. Orders are found by their numbers: names and
addresses are never kept."""

import json
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Conflict, Invalid, NotFound
from api.services.acting import now_acting
from api.services.finding import find_plan
from api.uploads.book import aside_heard, aside_said, lines_heard, lines_said
from api.uploads.erased import (
    NewNumber,
    in_words,
    known_again,
    lines_of,
    looked_for_in_words,
    name_of,
    out_of_words,
    swapped,
    texts_in,
    without_numbers,
)
from api.uploads.known import earlier_order_key, order_key, plain
from planner.errors import Problem
from worker.records import erased_orders, history, moulding_campaigns, order_imports
from worker.records.erased_orders import OfCampaign, Text
from worker.records.order_imports import ImportRow, SetAsideRow
from worker.records.statuses import OPEN

MOST_NUMBERS, LONGEST_NUMBER = 50, 60
LONGEST_WORDS = 500


@dataclass
class KeptOfOrders:
    """All that is kept of some orders of a moulding campaign.

    numbers: as asked for. book: lines of the newest table; set_aside: its rows that are in no plan, cell by cell.
    planned: order lines of campaign documents, and the plans made from each. log: entries of the floor's log about
    them. texts: where else a number stands in words. not_looked_for: numbers too short to be told from other figures
    in a sentence.
    """

    campaign: str
    numbers: list[str]
    book: list[dict[str, Any]] = field(default_factory=list)
    set_aside: list[dict[str, Any]] = field(default_factory=list)
    planned: list[dict[str, Any]] = field(default_factory=list)
    log: list[dict[str, Any]] = field(default_factory=list)
    texts: list[dict[str, str]] = field(default_factory=list)
    not_looked_for: list[str] = field(default_factory=list)

    @property
    def any(self) -> bool:
        """Whether anything is kept of them."""
        return bool(self.book or self.set_aside or self.planned or self.log or self.texts)


def kept_of(service: Service, workshop_id: str, plan_id: str, numbers: Sequence[str]) -> KeptOfOrders:
    """What the moulding campaign of that plan keeps of orders of those numbers. Raises NotFound, Invalid."""
    wanted = _wanted(numbers)
    with service.database.read() as connection:
        return _kept(connection, _campaign_of(connection, workshop_id, plan_id), wanted)


def erase(service: Service, workshop_id: str, plan_id: str, numbers: Sequence[str]) -> tuple[KeptOfOrders, list[str]]:
    """Have those orders go by other numbers wherever they stand; gives what was kept of them, and the new numbers.

    Rows set aside go whole. What was ordered and what has left stays countable. Raises NotFound (also where nothing is
    kept of them), Invalid, and Conflict while a plan of the campaign is being made.
    """
    wanted, now = _wanted(numbers), time.time()
    with service.database.write() as connection:
        of = _campaign_of(connection, workshop_id, plan_id)
        campaign = moulding_campaigns.find(connection, workshop_id, of.moulding_campaign_id)
        if campaign is not None and any(plan.status in OPEN for plan in campaign.plans):
            raise Conflict("A plan of this campaign is being made from these orders: wait for it, or stop it first.")
        kept = _kept(connection, of, wanted)
        if not kept.any:
            raise NotFound("Nothing is kept of orders with these numbers in this campaign.")
        before = erased_orders.known(connection, of)
        names: dict[str, str] = {}
        for number in wanted:
            digest = of.digest(order_key(number))
            there = before[digest] if digest in before else erased_orders.add(connection, of, digest, now)
            names[number] = name_of(there)
        _put(connection, of, names, now)
        what = f"{len(names):,} order number{'s' if len(names) > 1 else ''} erased on request"
        history.add(connection, workshop_id, plan_id, now_acting().who, what, now)
    return kept, list(names.values())


def new_numbers(connection: Connection, workshop_id: str, moulding_campaign_id: str | None) -> NewNumber:
    """Under which number an erased order of the moulding campaign goes; within a transaction of the caller's."""
    if moulding_campaign_id is None:
        return lambda _number: None
    of = OfCampaign(workshop_id, moulding_campaign_id)
    known = erased_orders.known(connection, of)

    def new(number: str) -> str | None:
        if not known or not number:
            return None
        spellings = (order_key(number), earlier_order_key(number), plain(number))  # the last two: of older versions
        digests = [of.digest(spelling) for spelling in spellings]
        at = next((known[digest] for digest in digests if digest in known), None)
        return None if at is None else name_of(at)

    return new


def _wanted(numbers: Sequence[str]) -> list[str]:
    found = list(dict.fromkeys(number.strip() for number in numbers if order_key(number)))
    if not found:
        raise NotFound("No order number is said.")
    if len(found) > MOST_NUMBERS or any(len(number) > LONGEST_NUMBER for number in found):
        said = f"say 1 to {MOST_NUMBERS} order numbers of at most {LONGEST_NUMBER} characters"
        raise Invalid("The order numbers do not fit.", [Problem("/orders", "too many or too long", said)])
    return found


def _campaign_of(connection: Connection, workshop_id: str, plan_id: str) -> OfCampaign:
    row = find_plan(connection, workshop_id, plan_id)
    if row.moulding_campaign_id is None:
        raise NotFound("This plan belongs to no campaign.")
    return OfCampaign(workshop_id, row.moulding_campaign_id)


def _kept(connection: Connection, of: OfCampaign, wanted: Sequence[str]) -> KeptOfOrders:
    keys = {order_key(number) for number in wanted}
    campaign = moulding_campaigns.find(connection, of.workshop_id, of.moulding_campaign_id)
    kept = KeptOfOrders(campaign.name if campaign else "", list(wanted))
    kept.not_looked_for = [number for number in wanted if not looked_for_in_words(number)]
    book = order_imports.newest(connection, of.workshop_id, of.moulding_campaign_id)
    if book is not None:
        kept.book = [line for line in book.lines if order_key(line["ref"]) in keys]
        for row in order_imports.set_aside(connection, of.workshop_id, book.id):
            if order_key(_number_in(book, row)) in keys:
                said = dict(zip(book.said["read"], row.row["kept"], strict=False))
                kept.set_aside.append({"row": row.row_number, "reason": row.reason, "cells": said})
    indices: dict[str, set[int]] = {}
    for campaign_id, text in erased_orders.campaigns(connection, of):
        found = lines_of(_read(text), keys)
        plans = erased_orders.plans_from(connection, of, campaign_id) if found else []
        kept.planned += [{"plans": plans, "order": line} for _, line in found]
        for plan_id in plans:
            indices.setdefault(plan_id, set()).update(n for n, _ in found)
    for one in erased_orders.texts(connection, of):
        content = _content(one)
        if one.where == "log" and _about(content, indices.get(one.plan_id, set()), keys):
            kept.log.append({"plan": one.plan_id, "entry": content})
        else:
            words = [text[:LONGEST_WORDS] for text in texts_in(content) if in_words(text, wanted)]
            kept.texts += [{"where": one.where, "plan": one.plan_id, "words": text} for text in words]
    return kept


def _number_in(book: ImportRow, row: SetAsideRow) -> str:
    """The order number of a row set aside, by the column that was said to hold it; "": nobody knows."""
    column = next((name for name, meaning in book.said["columns"].items() if meaning == "ref"), None)
    read, cells = list(book.said["read"]), row.row["kept"]
    at = read.index(column) if column in read else len(cells)
    return str(cells[at]) if at < len(cells) else ""


def _about(entry: dict[str, Any], indices: set[int], keys: set[str]) -> bool:
    """Whether an entry of the log is about one of the orders."""
    if entry.get("what") not in {"packed", "came-back"}:
        return False
    order = entry.get("order") or {}
    return entry.get("line") in indices or (bool(order) and order_key(order.get("ref", "")) in keys)


def _put(connection: Connection, of: OfCampaign, names: dict[str, str], now: float) -> None:
    """The new numbers in the place of the old ones, wherever they stand."""
    by_key = {order_key(number): name for number, name in names.items()}

    def new(number: str) -> str | None:
        return by_key.get(order_key(number)) if number else None

    book = order_imports.newest(connection, of.workshop_id, of.moulding_campaign_id)
    if book is not None:
        rows = order_imports.set_aside(connection, of.workshop_id, book.id)
        heard = [aside_heard(row.row_number, row.reason, row.row) for row in rows if not new(_number_in(book, row))]
        lines, _ = known_again(lines_heard(book.lines), [], new)
        told = [aside_said(aside) for aside in heard]
        order_imports.change(connection, of.workshop_id, book.id, lines_said(lines), told, now)
    for campaign_id, text in erased_orders.campaigns(connection, of):
        document = _read(text)
        if without_numbers(document, new):
            written = json.dumps(document, ensure_ascii=False)
            erased_orders.put_campaign(connection, of, campaign_id, written, now)
    changed = []
    for one in erased_orders.texts(connection, of):
        content = _content(one)
        if one.where == "log" and (name := new((content.get("order") or {}).get("ref", ""))):
            content = content | {"order": content["order"] | {"ref": name}}
        content = swapped(content, lambda words: out_of_words(words, names))
        written = content if one.where == "history" else json.dumps(content)
        if content != _content(one):
            changed.append(Text(one.where, one.plan_id, one.id, written))
    erased_orders.put_texts(connection, of, changed)


def _content(text: Text) -> Any:
    return text.content if text.where == "history" else json.loads(text.content)


def _read(text: str) -> dict[str, Any]:
    document = json.loads(text.removeprefix("\ufeff"))
    return document if isinstance(document, dict) else {}
