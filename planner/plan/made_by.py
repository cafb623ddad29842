"""Who makes how many, where several tools make a part, and where tools work, as a plan has it (RULES.md, D6, F11)."""

from collections import Counter
from collections.abc import Mapping

from planner.campaign import Campaign
from planner.campaign.planning import MadeAt, MadeBy
from planner.demand.shared_parts import tools_together
from planner.demand.standing import groups, settled
from planner.plan.document import RunPlan

NOTHING_LOGGED: Mapping[str, str] = {}


def as_made(campaign: Campaign, plan: RunPlan) -> Campaign:
    """The campaign saying of each group of tools what the plan makes with each of them; all of them are named, so that
    none makes what another one does. Tools that may go to several places are where the plan has them."""
    campaign = where_made(campaign, plan)
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


def where_made(campaign: Campaign, plan: RunPlan | None, logged: Mapping[str, str] = NOTHING_LOGGED) -> Campaign:
    """The campaign with each tool at the place where the plan runs it. logged: tool -> the press it was last in, by the
    floor's log, which goes before the plan. As it is where neither says anything."""
    presses = {run.tool: run.press for run in (plan.runs if plan is not None else ())} | dict(logged)
    if not presses or not groups(campaign):
        return campaign
    made_at = [
        MadeAt(tool=tool, place=campaign.presses[press].place)
        for tool, press in sorted(presses.items())
        if tool in campaign.tools and press in campaign.presses
    ]
    return settled(campaign.model_copy(update={"planning": campaign.planning.model_copy(update={"made_at": made_at})}))
