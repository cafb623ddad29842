"""Planning: wishes that only mean something together."""

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.demand.shared_parts import tools_together
from planner.errors import Problem


def check(campaign: Campaign) -> list[Problem]:
    """Kilograms for a day where waste is not the aim; a chance to keep a promise that nobody made; shots shared out to
    a tool that shares nothing."""
    plan = campaign.planning
    together = {tool for tools in tools_together(campaign) for tool in tools}
    unpromised = [
        Problem(
            pointer("planning", "made_by", n, "tool"),
            f"tool `{one.tool}` makes nothing that another tool makes too, so all of it is made by it",
            "take it out of made_by, or give another tool cavities for the same part",
        )
        for n, one in enumerate(plan.made_by)
        if one.tool in campaign.tools and one.tool not in together
    ]
    unpromised += [
        Problem(
            pointer("tiers", name, "keep_promise"),
            "a chance is asked for to keep a promise, and nothing is promised",
            "say the day in `promised`, or leave keep_promise out",
        )
        for name, tier in campaign.tiers.items()
        if tier.keep_promise is not None and tier.promised is None and not tier.promised_in
    ]
    if plan.kg_per_day is None or plan.aim == "waste":
        return unpromised
    return [
        *unpromised,
        Problem(
            pointer("planning", "kg_per_day"),
            f"kilograms are weighed against days only where waste is the aim; the aim is `{plan.aim}`",
            "set the aim to `waste`, or leave kg_per_day out",
        ),
    ]
