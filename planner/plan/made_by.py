"""Who makes how many, where several tools make a part, as a plan has it (RULES.md, D6)."""

from collections import Counter

from planner.campaign import Campaign
from planner.campaign.planning import MadeBy
from planner.demand.shared_parts import tools_together
from planner.plan.document import RunPlan


def as_made(campaign: Campaign, plan: RunPlan) -> Campaign:
    """The campaign saying of each group of tools what the plan makes with each of them; all of them are named, so that
    none makes what another one does."""
    groups = tools_together(campaign)
    shots: Counter[tuple[str, tuple[str, ...]]] = Counter()
    for run in plan.runs:
        shots[run.tool, tuple(melt.rpartition("/")[2] for melt in run.melts)] += run.shots
    made_by = [
        MadeBy(tool=tool, colours=list(colours), shots=shots[tool, colours])
        for tools in groups
        for colours in sorted({colours for tool, colours in shots if tool in tools})
        for tool in tools
    ]
    if not made_by:
        return campaign
    return campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"made_by": made_by})})
