"""A published run plan with the campaign it was made from, kept at hand for the next picture of it."""

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock
from typing import Annotated

from fastapi import Query
from sqlalchemy import Connection

from api.http.problems import Conflict, NotFound
from api.plans.finding import find_plan
from api.service import Service
from planner.campaign import Campaign
from planner.plan import RunPlan
from worker.records import reading
from worker.records.reading import PlanRow

RevisionNumber = Annotated[int | None, Query(ge=1, description="none: the newest")]
_KEPT = 6
"""Plans at hand at a time; a plan of 500 runs is some ten megabytes."""


@dataclass(frozen=True)
class Published:
    """A run plan somebody published, and its campaign. revision: which one of the plan's."""

    row: PlanRow
    revision: int
    plan: RunPlan
    campaign: Campaign


class _AtHand:
    """The plans asked for last, already parsed. A published revision never changes."""

    def __init__(self) -> None:
        self._lock, self._kept = Lock(), OrderedDict[tuple[str, int], tuple[RunPlan, Campaign]]()

    def get(self, key: tuple[str, int]) -> tuple[RunPlan, Campaign] | None:
        with self._lock:
            found = self._kept.get(key)
            if found is not None:
                self._kept.move_to_end(key)
            return found

    def keep(self, key: tuple[str, int], both: tuple[RunPlan, Campaign]) -> None:
        with self._lock:
            self._kept[key] = both
            while len(self._kept) > _KEPT:
                self._kept.popitem(last=False)


_at_hand = _AtHand()


def find_published(service: Service, workshop_id: str, plan_id: str, revision: int | None = None) -> Published:
    """The newest revision of the workshop's plan, or the one asked for.

    Raises NotFound if there is no such plan or revision, Conflict while none is published.
    """
    with service.database.read() as connection:
        row = find_plan(connection, workshop_id, plan_id)
        numbers = [known.number for known in reading.revisions(connection, plan_id)]
        if not numbers:
            raise Conflict(f"The plan is {row.status}; there is no run plan yet.")
        number = numbers[-1] if revision is None else revision
        if number not in numbers:
            raise NotFound(f"This plan has no revision {number}.")
        both = _at_hand.get((plan_id, number)) or _parsed(connection, plan_id, number)
    _at_hand.keep((plan_id, number), both)
    return Published(row, number, *both)


def _parsed(connection: Connection, plan_id: str, number: int) -> tuple[RunPlan, Campaign]:
    plan = reading.document(connection, plan_id, number)
    campaign = reading.campaign_of_revision(connection, plan_id, number)
    assert plan is not None
    assert campaign is not None
    return RunPlan.model_validate_json(plan), Campaign.model_validate_json(campaign.removeprefix("\ufeff"))
