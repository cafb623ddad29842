"""Small turns of phrase that every text for people shares."""

from collections.abc import Sequence

from planner.campaign import Campaign
from planner.wording import days as days

MOST_NAMED = 3
"""Parts of one mould that are named; a mould of more goes by its own name."""


def listed(things: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    return " and ".join([", ".join(things[:-1]), things[-1]] if len(things) > 1 else list(things))


def mould_of(campaign: Campaign, tool: str) -> str:
    """`the mould for the lid and the rim`."""
    made = list(campaign.tools[tool].cavities) if tool in campaign.tools else []
    if not 0 < len(made) <= MOST_NAMED:
        return f"the mould {tool}"
    return f"the mould for {listed(made)}"
