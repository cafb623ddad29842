"""Which queue a campaign belongs in, so that a large one never makes the small ones wait."""

from planner.campaign import Campaign
from worker.queue.broker import LARGE, SMALL

MOST_RUNS = 40
MOST_LINES = 20_000
"""Order lines: reading, auditing and writing that many takes seconds before and after the planning."""
LONGEST_BUDGET = 30.0
"""A small plan is done within about half a minute of planning (seconds)."""


def queue_for(campaign: Campaign) -> str:
    """By planning time asked for, order lines, and the runs to be expected: each tool once in each colourway."""
    colourways = sum(len(product.colourways) for product in campaign.products.values())
    large = (
        campaign.planning.rounds is not None
        or campaign.planning.seconds > LONGEST_BUDGET
        or len(campaign.orders) > MOST_LINES
        or len(campaign.tools) * colourways > MOST_RUNS
    )
    return LARGE if large else SMALL
