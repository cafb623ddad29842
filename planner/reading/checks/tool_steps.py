"""Steps left on tools: what comes after what, and days that make sense."""

from collections.abc import Iterator

from planner.campaign.document import Campaign
from planner.campaign.pointers import pointer
from planner.campaign.tools import Tool
from planner.campaign.uncertainty import ThreePoint
from planner.errors import Problem

LONGEST_DAYS = 3650


def check(campaign: Campaign) -> list[Problem]:
    """Steps named that are not listed before, days that cannot be, and steps done before what they come after."""
    return [problem for name, tool in campaign.tools.items() for problem in _of_tool(name, tool)]


def _of_tool(name: str, tool: Tool) -> Iterator[Problem]:
    here = ("tools", name, "until_ready")
    listed: list[str] = []
    for step_id, step in tool.until_ready.items():
        for n, before in enumerate(step.after or []):
            if before not in listed:
                known = before in tool.until_ready
                yield Problem(
                    pointer(*here, step_id, "after", n),
                    f"step `{step_id}` of tool `{name}` comes after `{before}`, "
                    + ("which is listed later" if known else "which is no step of this tool"),
                    "list what is done first before it" if known else f"name one of its steps, or add `{before}` first",
                )
        if isinstance(step.days, ThreePoint) and not (step.days.early >= 0 and step.days.late <= LONGEST_DAYS):
            yield Problem(
                pointer(*here, step_id, "days"),
                f"step `{step_id}` of tool `{name}` takes {step.days.early:g} to {step.days.late:g} days",
                f"give days from 0 to {LONGEST_DAYS}",
            )
        listed.append(step_id)
    if tool.steps_from is not None and not tool.until_ready:
        yield Problem(
            pointer("tools", name, "steps_from"),
            f"tool `{name}` says from when its steps go on, but lists none",
            "list them under `until_ready`, or leave this out",
        )
