"""Studies: questions about a plan, written down once, worked out by the workers, read, deleted."""

from typing import Any

from sqlalchemy import Connection

from api.service import Service, request_id
from api.service.refusals import Invalid
from api.services.finding import find_plan, find_study
from api.services.made_plans import made_plan
from api.services.once import Answer, Once
from api.services.submitting import within_quota
from planner.errors import CampaignProblems
from planner.studies.kinds import KINDS
from planner.studies.parts import Split, Subject
from worker.records import events, studies
from worker.records.events import EventRow
from worker.records.studies import Question, StudyRow


def ask(service: Service, once: Once[StudyRow], plan_id: str, kind: str, question: dict[str, Any]) -> Answer:
    """The same question about the same revision is worked out once, whoever asks again.

    Raises what `made_plan` raises; Invalid where the question does not fit the campaign; TooMany.
    """
    workshop_id = once.workshop_id
    with service.database.read() as connection:
        made = made_plan(connection, workshop_id, plan_id)
        wanted = Question(plan_id, made.row.revision, kind, question, made.row.queue, request_id.get())
        known = studies.alike(connection, workshop_id, wanted)
    split = None if known else _split(kind, Subject(made.campaign_text, made.plan_text), question)

    def act(connection: Connection, now: float) -> StudyRow:
        made_plan(connection, workshop_id, plan_id)
        return known or _submitted(connection, workshop_id, wanted, split, now)

    answer = once.carried_out(service, act)
    service.sender.nudge()
    return answer


def _split(kind: str, subject: Subject, question: dict[str, Any]) -> Split:
    try:
        return KINDS[kind].split(subject, question)
    except CampaignProblems as error:
        raise Invalid("The question does not fit the campaign.", error.problems[:100]) from None


def _submitted(connection: Connection, workshop_id: str, wanted: Question, split: Split | None, now: float) -> StudyRow:
    known = studies.alike(connection, workshop_id, wanted)  # somebody may have asked meanwhile
    if known is not None:
        return known
    assert split is not None
    with within_quota():
        study_id = studies.submit(connection, workshop_id, wanted, split, now)
    return find_study(connection, workshop_id, study_id)


def page(
    service: Service, workshop_id: str, plan_id: str, limit: int, before: tuple[float, str] | None, kind: str | None
) -> list[StudyRow]:
    """A plan's studies, newest first. before: (created_at, id) of the last one already seen. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return studies.page(connection, workshop_id, plan_id, limit, before, kind)


def all_said(service: Service, study_id: str) -> tuple[list[EventRow], str | None]:
    """Everything a study said and its document, JSON text. The caller has found it to be the workshop's."""
    with service.database.read() as connection:
        told: list[EventRow] = []
        more = events.after(connection, "study", study_id, 0)
        while more:
            told += more
            more = events.after(connection, "study", study_id, told[-1].number)
        return told, studies.result(connection, study_id)


def document(service: Service, study_id: str) -> str | None:
    """The finished study's document, JSON text. The caller has found it to be the workshop's."""
    with service.database.read() as connection:
        return studies.result(connection, study_id)


def newest_document(service: Service, workshop_id: str, plan_id: str, kind: str) -> str | None:
    """The document of a plan's newest study of that kind that is worked out; None if none is. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        rows = studies.page(connection, workshop_id, plan_id, 20, kind=kind)
        done = next((row.id for row in rows if row.status == "done"), None)
        return None if done is None else studies.result(connection, done)


def remove(service: Service, workshop_id: str, study_id: str) -> None:
    """Delete a study with all it said; one still being worked out ends by it. Raises NotFound."""
    with service.database.write() as connection:
        find_study(connection, workshop_id, study_id)
        studies.remove(connection, study_id)
