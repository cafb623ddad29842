"""A changed campaign that begins from the order of work of a plan that is there."""

from typing import Any

from planner.plan import RunPlan
from planner.plan.order_of_work import order_of


def begun_from(document: dict[str, Any], plan: RunPlan) -> dict[str, Any]:
    """The campaign document, set to begin from that plan's order of work and held to nothing that people were told."""
    planning = document.get("planning", {})
    if not isinstance(planning, dict):
        return document
    rest = {name: value for name, value in planning.items() if name != "told"}
    return document | {"planning": rest | {"begin_from": order_of(plan).model_dump(mode="json")}}
