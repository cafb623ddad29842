"""A plan or a study by its id, of the caller's workshop or not at all; within a transaction of the caller's."""

from sqlalchemy import Connection

from api.service.refusals import NotFound
from worker.records import reading, studies
from worker.records.reading import PlanRow
from worker.records.studies import StudyRow

NO_PLAN = "This workshop has no such plan."


def find_plan(connection: Connection, workshop_id: str, plan_id: str) -> PlanRow:
    """The plan; raises NotFound in the same words whether it is another's or nobody's."""
    row = reading.find(connection, workshop_id, plan_id)
    if row is None:
        raise NotFound(NO_PLAN)
    return row


def campaign_text(connection: Connection, workshop_id: str, plan_id: str) -> str:
    """The campaign the plan's newest revision is made from, as it was sent; raises NotFound."""
    document = reading.campaign_document(connection, workshop_id, plan_id)
    if document is None:
        raise NotFound(NO_PLAN)
    return document


def find_study(connection: Connection, workshop_id: str, study_id: str) -> StudyRow:
    """The study; raises NotFound in the same words whether it is another's or nobody's."""
    row = studies.find(connection, workshop_id, study_id)
    if row is None:
        raise NotFound("This workshop has no such study.")
    return row
