"""A part of a study in a worker's hands, from its claim to its answer: what is a study's own (see `claiming`)."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select, update

from planner.studies.parts import Said
from worker.records import claiming, ending, events, studies, study_parts
from worker.records.claiming import Claim, Found
from worker.records.events import Job
from worker.records.leases import Fence, Leased
from worker.records.statuses import OPEN
from worker.records.studies import Locked
from worker.records.submitting import note_bytes
from worker.records.tables import Campaign, Revision, Study, StudyEvent, StudyPart


@dataclass(frozen=True)
class PartClaim(Claim):
    """A part in this worker's hands. campaign, plan: JSON text. given: see `Work`."""

    number: int
    unlocks: int | None
    kind: str
    question: dict[str, Any]
    ask: dict[str, Any]
    campaign: str
    plan: str
    given: list[Said]


class Parts:
    """Studies as a kind of job: each is held part by part."""

    name: Job = "study"
    table: Leased = StudyPart

    def find(self, connection: Connection, row_id: str) -> Found[Locked] | None:
        study_id = connection.execute(select(StudyPart.study_id).where(StudyPart.id == row_id)).scalar()
        study = None if study_id is None else studies.lock(connection, study_id)
        if study_id is None or study is None or study.status not in OPEN:
            return None
        part = connection.execute(select(StudyPart.__table__).where(StudyPart.id == row_id)).one()
        return Found(study_id, part, study)

    def may_begin(self, connection: Connection, found: Found[Locked], cores: int, now: float) -> bool:
        """How many of a workshop's parts may be out is decided where they are sent (`outbox`)."""
        return True

    def written(self, cores: int, at: float) -> dict[str, Any]:
        return {}

    def begin(self, connection: Connection, found: Found[Locked], fence: Fence, again: bool, at: float) -> PartClaim:
        study, part = found.job, found.row
        if study.status == "queued":
            connection.execute(update(Study).where(Study.id == found.job_id).values(status="running", started_at=at))
            events.append(connection, "study", found.job_id, "started", {}, at)
        documents = connection.execute(
            select(Campaign.document, Revision.document)
            .join(Revision, Revision.campaign_id == Campaign.id)
            .where(Revision.plan_id == study.plan_id, Revision.number == study.revision)
        ).one()
        return PartClaim(
            fence,
            found.job_id,
            study.workshop_id,
            study.request_id,
            number=part.number,
            unlocks=part.unlocks,
            kind=study.kind,
            question=json.loads(study.question),
            ask=json.loads(part.ask),
            campaign=documents[0],
            plan=documents[1],
            given=_given(connection, found.job_id, part.first, part.number),
        )

    def lost(self, losses: int) -> dict[str, str]:
        return {
            "pointer": "",
            "message": f"{losses} workers were lost while they worked on one part of this study",
            "remedy": "ask for less at a time, or give the workers more memory",
        }


PARTS = Parts()


def _given(connection: Connection, study_id: str, first: int, number: int) -> list[Said]:
    rows = connection.execute(
        select(StudyEvent.kind, StudyEvent.data)
        .where(StudyEvent.study_id == study_id, StudyEvent.part >= first, StudyEvent.part < number)
        .order_by(StudyEvent.part, StudyEvent.number)
    )
    return [Said(row.kind, json.loads(row.data)) for row in rows]


def say(connection: Connection, mine: PartClaim, said: list[Said], now: float) -> bool:
    """Write what was worked out before the answer is whole; False, with nothing written, if no longer mine.

    A part that is worked on again after a loss may say it again.
    """
    ending.lock(connection, "study", mine.job_id)
    ours, _ = claiming.standing(connection, mine)
    if ours:
        events.extend(connection, "study", mine.job_id, [(one.kind, one.data) for one in said], now, mine.number)
    return ours


def keep(connection: Connection, mine: PartClaim, said: list[Said], result: str | None, now: float) -> bool:
    """Write a part's answer and what it unlocks, or the study's end; False, with nothing written, if no longer mine."""
    if not claiming.let_go(connection, mine):
        return False
    study_id = mine.job_id
    connection.execute(update(StudyPart).where(StudyPart.id == mine.fence.row_id).values(status="done"))
    events.extend(connection, "study", study_id, [(one.kind, one.data) for one in said], now, mine.number)
    connection.execute(update(Study).where(Study.id == study_id).values(parts_done=Study.parts_done + 1))
    if mine.unlocks is not None:
        study_parts.unlock(connection, study_id, mine.unlocks)
        return True
    _, stopped = ending.lock(connection, "study", study_id)
    because = "stopped" if stopped else "complete"
    ending.end(connection, "study", study_id, "done", because, {}, now, result=result)
    note_bytes(connection, mine.workshop_id, len(result or ""))
    return True
