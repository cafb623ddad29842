"""A lot found bad late: looked for in the plan's log and in those of the plans it was made from."""

from api.service import Service
from api.services.finding import find_plan
from api.services.lineage import line
from planner.actuals.entries import AnyEntry
from planner.campaign import Campaign


def plans_back(service: Service, workshop_id: str, plan_id: str) -> list[tuple[Campaign, list[AnyEntry]]]:
    """Campaign and log of the plan, of the one it was made from, and so on. Raises NotFound."""
    with service.database.read() as connection:
        find_plan(connection, workshop_id, plan_id)
        return [(one.campaign, one.log) for one in line(connection, workshop_id, plan_id)]
