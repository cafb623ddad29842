"""By how many days tools come later than planned in every replication: the steps left on them, their days drawn."""

from datetime import date, datetime

import numpy as np

from planner.campaign import Campaign
from planner.campaign.tool_steps import ToolStep
from planner.campaign.uncertainty import Spread, ThreePoint
from planner.promise.quantiles import quantiles
from planner.promise.random_streams import uniforms
from planner.readiness import Network, StepOf, ready_days, step_words
from planner.readiness.working_days import day_from, position
from planner.schedule.instance import Floats

Drawn = dict[StepOf, tuple[str, Floats]]
Tried = dict[str, tuple[date | datetime, Floats]]


def step_days(campaign: Campaign, share: Spread | None, replications: int, seed: int) -> Drawn:
    """Days that each step still to do takes in every replication, where they are not sure, with the step in words.

    share: real days over the days said, for steps that give one figure; none: they take just that.
    """
    found: Drawn = {}
    for (tool, step_id), step in Network(campaign).still_to_do:
        chance = uniforms(seed, f"tool/{tool}/step/{step_id}", replications)
        days = _drawn(step, share, chance)
        if days is not None:
            found[tool, step_id] = (step_words(campaign, tool, step_id), np.clip(days, 0.0, 3650.0))
    return found


def _drawn(step: ToolStep, share: Spread | None, chance: Floats) -> Floats | None:
    if isinstance(step.days, ThreePoint):
        return quantiles(step.days, chance)
    return step.days * quantiles(share, chance) if share is not None and step.days > 0 else None


def days_late(
    campaign: Campaign, drawn: Drawn, said: dict[str, Floats], tried: Tried, replications: int
) -> dict[str, Floats]:
    """Tool -> calendar days after the planned day at which it is ready in every replication, for tools with steps left.

    said: tool -> days after its `ready`, beside the steps; both must have come. tried: of tools whose trial has its
    day, from when it is known how that went, and the rework after it.
    """
    network = Network(campaign)
    planned = ready_days(campaign)
    tools = sorted({of[0] for of, _ in network.still_to_do})
    found = {tool: np.zeros(replications) for tool in tools}
    days = {of: step.likely_days for of, step in network.still_to_do}
    for k in range(replications):
        laid = network.laid(days | {of: float(values[k]) for of, (_, values) in drawn.items()})
        for tool, (end, _) in network.ends(laid).items():
            if tool in found:
                found[tool][k] = position(day_from(end, network.first), network.first)
    for tool in tools:
        at, ready = planned[tool], campaign.tools[tool].ready
        assert at is not None
        if ready is not None:
            found[tool] = np.maximum(
                found[tool], position(ready, network.first) + said.get(tool, np.zeros(replications))
            )
        elif tool in said:
            found[tool] = found[tool] + said[tool]
        if tool in tried:
            known, rework = tried[tool]
            found[tool] = np.maximum(found[tool], position(known, network.first)) + rework
        found[tool] -= position(at, network.first)
    return found
