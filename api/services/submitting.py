"""A workshop's quota used up, as the answer that says so."""

import json
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from api.service import request_id
from api.service.refusals import TooMany
from api.services.acting import now_acting
from api.services.campaign_documents import ReadCampaign
from planner.campaign.differences import differences_said
from worker.records import changing, history, reading, submitting
from worker.records.history import ChangeRow
from worker.records.reading import PlanRow
from worker.records.submitting import Submission, TooManyBytes, TooManyOpenPlans

LARGEST_COMPARED = 2_000_000
"""Bytes of a campaign that is compared while it is written down: longer ones would keep others waiting."""


@contextmanager
def within_quota() -> Iterator[None]:
    """For what writes a plan or study down. Raises TooMany, with what to do about it."""
    try:
        yield
    except TooManyOpenPlans as error:
        raise TooMany(f"{error}; wait until some are finished.", headers={"Retry-After": "30"}) from None
    except TooManyBytes as error:
        raise TooMany(f"{error}; delete plans or studies you no longer need.") from None


def submitted(
    connection: Connection, workshop_id: str, read: ReadCampaign, title: str, now: float, parent_id: str | None = None
) -> PlanRow:
    """Write a campaign down as a plan to be made. Raises TooMany where the workshop's quota is used up."""
    submission = Submission(
        read.document, title, read.budget, read.queue, request_id.get(), parent_id, currency=read.campaign.currency
    )
    with within_quota():
        row = submitting.submit(connection, workshop_id, submission, now)
    before = None if parent_id is None else reading.campaign_document(connection, workshop_id, parent_id)
    what = "planned" if before is None else f"another plan: {_compared(before, read.document) or 'of the same'}"
    if row.moulding_campaign_id is not None:
        change = ChangeRow(row.id, now_acting().who, what, now)
        history.add_to_campaign(connection, workshop_id, row.moulding_campaign_id, change)
    return row


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
