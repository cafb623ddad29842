"""Who works on a part of a study, and whose answer counts: leases and fences as for plans (see `claiming`)."""

import json
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, select, update

from planner.studies.parts import Said
from worker.records import events, leases, studies
from worker.records.leases import Fence
from worker.records.statuses import OPEN
from worker.records.submitting import note_bytes
from worker.records.tables import Campaign, Revision, Study, StudyEvent, StudyPart


@dataclass(frozen=True)
class PartClaim:
    """A part in this worker's hands. campaign, plan: JSON text. given: see `Work`."""

    fence: Fence
    study_id: str
    workshop_id: str
    number: int
    unlocks: int | None
    kind: str
    question: dict[str, Any]
    ask: dict[str, Any]
    campaign: str
    plan: str
    given: list[Said]
    request_id: str | None


def claim(
    connection: Connection,
    part_id: str,
    worker: str,
    now: float,
    lease: float,
    attempts: int,
    at: float | None = None,
) -> PartClaim | None:
    """Take the part if it waits, or if its worker's lease ran out; None if there is nothing to do.

    now: by the clock of leases. at: the wall clock's time, for the story of the study; None: the same.

    A part that lost `attempts` workers fails its study instead of taking another one down.
    """
    study_id = connection.execute(select(StudyPart.study_id).where(StudyPart.id == part_id)).scalar()
    study = None if study_id is None else studies.lock(connection, study_id)
    if study_id is None or study is None or study.status not in OPEN:
        return None
    part = connection.execute(select(StudyPart.__table__).where(StudyPart.id == part_id)).one()
    at = now if at is None else at
    found = leases.free(part, now)
    if found is None:
        return None
    if found.losses >= attempts:
        _fail(connection, study_id, "lost", [_lost(found.losses)], at)
        return None
    fence = leases.take(connection, StudyPart, part_id, found, worker, now, lease)
    if study.status == "queued":
        connection.execute(update(Study).where(Study.id == study_id).values(status="running", started_at=at))
        events.append(connection, "study", study_id, "started", {}, at)
    documents = connection.execute(
        select(Campaign.document, Revision.document)
        .join(Revision, Revision.campaign_id == Campaign.id)
        .where(Revision.plan_id == study.plan_id, Revision.number == study.revision)
    ).one()
    return PartClaim(
        fence=fence,
        study_id=study_id,
        workshop_id=study.workshop_id,
        number=part.number,
        unlocks=part.unlocks,
        kind=study.kind,
        question=json.loads(study.question),
        ask=json.loads(part.ask),
        campaign=documents[0],
        plan=documents[1],
        given=_given(connection, study_id, part.first, part.number),
        request_id=study.request_id,
    )


def _given(connection: Connection, study_id: str, first: int, number: int) -> list[Said]:
    rows = connection.execute(
        select(StudyEvent.kind, StudyEvent.data)
        .where(StudyEvent.study_id == study_id, StudyEvent.part >= first, StudyEvent.part < number)
        .order_by(StudyEvent.part, StudyEvent.number)
    )
    return [Said(row.kind, json.loads(row.data)) for row in rows]


def _lost(losses: int) -> dict[str, str]:
    return {
        "pointer": "",
        "message": f"{losses} workers were lost while they worked on one part of this study",
        "remedy": "ask for less at a time, or give the workers more memory",
    }


def standing(connection: Connection, mine: PartClaim) -> tuple[bool, bool]:
    """Whether the part is still mine, and whether somebody asked to stop."""
    row = connection.execute(
        select(Study.stop_requested)
        .join(StudyPart, StudyPart.study_id == Study.id)
        .where(
            StudyPart.id == mine.fence.row_id,
            StudyPart.attempt == mine.fence.attempt,
            StudyPart.status == "running",
        )
    ).one_or_none()
    return (False, False) if row is None else (True, bool(row.stop_requested))


def keep(connection: Connection, mine: PartClaim, said: list[Said], result: str | None, now: float) -> bool:
    """Write a part's answer and what it unlocks, or the study's end; False, with nothing written, if no longer mine."""
    study = studies.lock(connection, mine.study_id)
    done = leases.held(mine.fence).values(status="done", lease_until=None)
    if study is None or connection.execute(done).rowcount != 1:
        return False
    events.extend(connection, "study", mine.study_id, [(one.kind, one.data) for one in said], now, mine.number)
    connection.execute(update(Study).where(Study.id == mine.study_id).values(parts_done=Study.parts_done + 1))
    if mine.unlocks is not None:
        studies.unlock(connection, mine.study_id, mine.unlocks)
        return True
    because = "stopped" if study.stop_requested else "complete"
    studies.end(connection, mine.study_id, "done", because, {}, now, result=result)
    note_bytes(connection, mine.workshop_id, len(result or ""))
    return True


def hand_back(connection: Connection, mine: PartClaim) -> bool:
    """Give the part back to the queue unanswered, without counting an attempt; False if it is no longer mine."""
    studies.lock(connection, mine.study_id)
    return leases.hand_back(connection, mine.fence)


def fail(connection: Connection, mine: PartClaim, because: str, problems: list[dict[str, str]], now: float) -> bool:
    """A part cannot be worked out, so its study fails; what was said stays. False if no longer mine."""
    studies.lock(connection, mine.study_id)
    held = leases.let_go(connection, mine.fence)
    if held:
        _fail(connection, mine.study_id, because, problems, now)
    return held


def _fail(connection: Connection, study_id: str, because: str, problems: list[dict[str, str]], now: float) -> None:
    studies.end(connection, study_id, "failed", because, {"problems": problems}, now, failure=json.dumps(problems))
