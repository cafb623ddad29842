"""Where tools work that may go to several places, written from the runs (RULES.md, F11)."""

from collections.abc import Sequence
from datetime import datetime

from planner.campaign import Campaign
from planner.plan.document import Run, ToolAt
from planner.plan.wishes import begins


def tools_at(campaign: Campaign, runs: Sequence[Run]) -> list[ToolAt]:
    """A line for each tool that the campaign, as it was compiled, says the place of, and that can run there; sorted."""
    first: dict[str, datetime] = {}
    for run in sorted(runs, key=begins):
        first.setdefault(run.tool, begins(run))
    said = [one for one in campaign.planning.made_at if one.tool in campaign.tools and campaign.tools[one.tool].presses]
    return [ToolAt(tool=one.tool, place=one.place, by=first.get(one.tool)) for one in said]
