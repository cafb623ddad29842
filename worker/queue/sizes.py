"""Which queue a campaign belongs in, so that a large one never makes the small ones wait."""

from planner.campaign import Campaign
from worker.queue.broker import LARGE, SMALL

MOST_RUNS = 40
LONGEST_BUDGET = 30.0
"""A small plan is done within about half a minute of planning (seconds)."""


def queue_for(campaign: Campaign) -> str:
    """By the planning time asked for and the runs to be expected: each tool once in each colourway."""
    colourways = sum(len(product.colourways) for product in campaign.products.values())
    runs = len(campaign.tools) * colourways
    by_rounds = campaign.planning.rounds is not None
    return LARGE if by_rounds or runs > MOST_RUNS or campaign.planning.seconds > LONGEST_BUDGET else SMALL
