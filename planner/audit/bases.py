"""Tools of one base: changeable inserts, of which one can be in a press at a time (RULES.md, R25)."""

from planner.campaign import Campaign


def base_of(campaign: Campaign, tool: str) -> tuple[str, str]:
    """(`base`, its name) of a tool that has one, else (`tool`, the tool)."""
    base = campaign.tools[tool].base
    return ("tool", tool) if base is None else ("base", base)
