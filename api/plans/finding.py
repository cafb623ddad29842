"""A plan by its id, of the caller's workshop or not at all."""

from typing import Annotated

from fastapi import Path
from sqlalchemy import Connection

from api.http.problems import NotFound
from worker.records import reading
from worker.records.ids import PATTERN
from worker.records.reading import PlanRow

PlanId = Annotated[str, Path(pattern=PATTERN)]


def find_plan(connection: Connection, workshop_id: str, plan_id: str) -> PlanRow:
    """The plan; raises NotFound in the same words whether it is another's or nobody's."""
    row = reading.find(connection, workshop_id, plan_id)
    if row is None:
        raise NotFound("This workshop has no such plan.")
    return row
