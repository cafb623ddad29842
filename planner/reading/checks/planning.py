"""Planning: wishes that only mean something together."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """Kilograms for a day where waste is not the aim."""
    plan = campaign.planning
    if plan.kg_per_day is None or plan.aim == "waste":
        return []
    return [
        Problem(
            pointer("planning", "kg_per_day"),
            f"kilograms are weighed against days only where waste is the aim; the aim is `{plan.aim}`",
            "set the aim to `waste`, or leave kg_per_day out",
        )
    ]
