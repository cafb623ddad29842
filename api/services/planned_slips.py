"""Slips that were planned as variants, with their whole budget: what a slip table says of them must say the same."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from api.service import Service
from api.service.refusals import Refused
from api.services.made_plans import Made, made_plan
from planner.campaign import Campaign
from planner.slips.document import Cell
from planner.slips.slip import slip_between
from planner.slips.study import Asked, cell_of
from planner.slips.words import row_words
from worker.records import reading
from worker.records.studies import StudyRow

MOST = 20
"""Variants of a plan that are looked at, the newest first."""


@dataclass(frozen=True)
class Planned:
    """Slips that were planned, at least one. currency: of the plan they are variants of."""

    cells: list[Cell]
    currency: str


def of_study(service: Service, workshop_id: str, row: StudyRow) -> Planned | None:
    """Of the plan that a study is about; None: none was planned, or its campaign was changed since."""
    with service.database.read() as connection:
        try:
            parent = made_plan(connection, workshop_id, row.plan_id)
        except Refused:
            return None
        planned = planned_slips(connection, workshop_id, parent) if parent.row.revision == row.revision else []
    return Planned(planned, parent.plan.currency) if planned else None


def planned_slips(connection: Connection, workshop_id: str, parent: Made) -> list[Cell]:
    """A cell for each slip that is a finished variant of the plan, the cheapest where there are several."""
    found: dict[tuple[str, str, int], Cell] = {}
    before, campaign = parent.plan, Campaign.model_validate(parent.document)
    for row in reading.page(connection, workshop_id, MOST, listed=reading.Listed(parent_id=parent.row.id)):
        if row.status != "done":
            continue
        child = made_plan(connection, workshop_id, row.id)
        slip = slip_between(campaign, Campaign.model_validate(child.document))
        if slip is None:
            continue
        cell = cell_of(before, Asked(slip, "planned anew"), child.plan).model_copy(update={"plan": row.id})
        key = (slip.kind, slip.name, slip.days)
        if key not in found or (cell.cost or 0.0) < (found[key].cost or 0.0):
            found[key] = cell
    return list(found.values())


def as_planned(said: Iterable[dict[str, Any]], planned: Iterable[Cell], currency: str) -> list[dict[str, Any]]:
    """What a slip table has said, its quick looks replaced where just that slip was planned as a variant."""
    better = {(c.kind, c.name, c.days): c for c in planned}
    cells, changed = [], []
    for one in said:
        if "cell" in one:
            cell = Cell.model_validate(one["cell"])
            if cell.policy == "planned anew":
                cell = better.get((cell.kind, cell.name, cell.days), cell)
            cells.append(cell)
            one = {"cell": cell.model_dump(mode="json")}
        if "row" in one:
            row = one["row"]
            own = [c for c in cells if (c.kind, c.name) == (row["kind"], row["name"])]
            one = {"row": row | {"words": row_words(own, row["slack_days"], currency)}}
        changed.append(one)
    return changed
