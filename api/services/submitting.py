"""A workshop's quota used up, as the answer that says so."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection

from api.service import request_id
from api.service.refusals import TooMany
from api.services.campaign_documents import ReadCampaign
from worker.records import submitting
from worker.records.reading import PlanRow
from worker.records.submitting import Submission, TooManyBytes, TooManyOpenPlans


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
    submission = Submission(read.document, title, read.budget, read.queue, request_id.get(), parent_id)
    with within_quota():
        return submitting.submit(connection, workshop_id, submission, now)
