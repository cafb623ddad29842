"""How parts of a study lead to one another, and what becomes of those that are not needed any more.

Whoever calls has locked the study before.
"""

from collections import Counter

from sqlalchemy import Connection, update

from worker.records.tables import StudyPart


def unlock(connection: Connection, study_id: str, number: int, fewer: int = 1) -> None:
    """So many of the parts that a part waits for are over; the last of them puts it into the queue."""
    left = connection.execute(
        update(StudyPart)
        .where(StudyPart.study_id == study_id, StudyPart.number == number)
        .values(waits_for=StudyPart.waits_for - fewer)
        .returning(StudyPart.waits_for)
    ).scalar_one()
    if left == 0:
        connection.execute(
            update(StudyPart)
            .where(StudyPart.study_id == study_id, StudyPart.number == number, StudyPart.status == "held")
            .values(status="queued")
        )


def drop_not_begun(connection: Connection, study_id: str) -> None:
    """Begin none of the parts that nothing leads to: those that put answers together follow from what is there."""
    dropped = connection.execute(
        update(StudyPart)
        .where(
            StudyPart.study_id == study_id,
            StudyPart.status == "queued",
            StudyPart.first == StudyPart.number,  # nothing leads to it
            StudyPart.unlocks.is_not(None),
        )
        .values(status="dropped")
        .returning(StudyPart.unlocks)
    ).scalars()
    waiting = Counter(number for number in dropped if number is not None)
    for number, fewer in sorted(waiting.items()):
        unlock(connection, study_id, number, fewer)


def drop_open(connection: Connection, study_id: str) -> None:
    """The study is over: no part of it is worked on any more."""
    connection.execute(
        update(StudyPart)
        .where(StudyPart.study_id == study_id, StudyPart.status.in_(("held", "queued", "running")))
        .values(status="dropped", lease_until=None)
    )
