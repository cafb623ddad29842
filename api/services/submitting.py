"""A workshop's quota used up, as the answer that says so."""

import json
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass

from sqlalchemy import Connection

from api.service import request_id
from api.service.refusals import TooMany
from api.services.acting import now_acting
from api.services.campaign_documents import ReadCampaign
from planner.campaign.differences import differences_said
from worker.records import changing, history, reading, submitting
from worker.records.history import ChangeRow
from worker.records.reading import PlanRow
from worker.records.submitting import Submission, TooManyBytes, TooManyOpenPlans, Wanted

LARGEST_COMPARED = 2_000_000
"""Bytes of a campaign that is compared while it is written down: longer ones would keep others waiting."""


@contextmanager
def within_quota() -> Iterator[None]:
    """For what writes a plan or study down. Raises TooMany, with what to do about it."""
    try:
        yield
    except (TooManyOpenPlans, TooManyBytes) as error:
        raise _refusal(error) from None


def _refusal(error: TooManyOpenPlans | TooManyBytes) -> TooMany:
    if isinstance(error, TooManyOpenPlans):
        return TooMany(f"{error}; wait until some are finished.", headers={"Retry-After": "30"})
    return TooMany(f"{error}; delete plans or studies you no longer need.")


def submitted(
    connection: Connection, workshop_id: str, read: ReadCampaign, title: str, now: float, parent_id: str | None = None
) -> PlanRow:
    """Write a campaign down as a plan to be made. Raises TooMany where the workshop's quota is used up."""
    with within_quota():
        row = submitting.submit(connection, workshop_id, _submission(read, title, parent_id), now)
    before = None if parent_id is None else reading.campaign_document(connection, workshop_id, parent_id)
    what = "planned" if before is None else f"another plan: {_compared(before, read.document) or 'of the same'}"
    if row.moulding_campaign_id is not None:
        change = ChangeRow(row.id, now_acting().who, what, now)
        history.add_to_campaign(connection, workshop_id, row.moulding_campaign_id, change)
    return row


@dataclass(frozen=True)
class Sent:
    """A campaign that somebody sent, to be planned as it is. who: sent it, as its history says."""

    wanted: Wanted
    who: str


def sent(workshop_id: str, read: ReadCampaign) -> Sent:
    """A campaign that came with the request that is being answered."""
    return Sent(Wanted(workshop_id, _submission(read, read.campaign.name, None), time.time()), now_acting().who)


def submitted_all(connection: Connection, campaigns: Sequence[Sent], sent_at: float | None) -> list[PlanRow | TooMany]:
    """As `submitted`, for several; of each its plan, or why it was not taken. sent_at: as `submit_all` means it."""
    made = submitting.submit_all(connection, [one.wanted for one in campaigns], sent_at)
    changes = [
        (one.wanted.workshop_id, row.moulding_campaign_id, ChangeRow(row.id, one.who, "planned", one.wanted.now))
        for one, row in zip(campaigns, made, strict=True)
        if isinstance(row, PlanRow) and row.moulding_campaign_id is not None
    ]
    history.add_to_campaigns(connection, changes)
    return [row if isinstance(row, PlanRow) else _refusal(row) for row in made]


def _submission(read: ReadCampaign, title: str, parent_id: str | None) -> Submission:
    return Submission(
        read.document, title, read.budget, read.queue, request_id.get(), parent_id, currency=read.campaign.currency
    )


def revised(connection: Connection, workshop_id: str, plan_id: str, read: ReadCampaign, now: float) -> None:
    """Queue the plan's next revision. Raises StillOpen while the last one is not finished, and TooMany."""
    before = reading.campaign_document(connection, workshop_id, plan_id)
    with within_quota():
        changing.plan_anew(
            connection, workshop_id, plan_id, read.document, read.budget, read.queue, now, read.campaign.currency
        )
    said = _compared(before or "{}", read.document)
    what = f"changed: {said}" if said else "planned again as it was"
    history.add(connection, workshop_id, plan_id, now_acting().who, what, now)


def _compared(before: str, after: str) -> str:
    """How one campaign differs from another, in words; nothing where it does not. Both as JSON text."""
    if max(len(before), len(after)) > LARGEST_COMPARED:
        return "" if before == after else "too large to say here what is not the same"
    return differences_said(json.loads(before.removeprefix("\ufeff")), json.loads(after.removeprefix("\ufeff")))
