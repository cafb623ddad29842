"""A campaign document from its bytes to something that can be queued, or all its problems at once."""

from dataclasses import dataclass
from typing import Any

from api.service.refusals import InvalidCampaign
from planner.campaign import Campaign
from planner.errors import CampaignProblems, Problem
from planner.reading import read
from worker.queue.sizes import queue_for

_MOST = 100
"""Problems told at once; beyond this a document is wrong as a whole."""


@dataclass(frozen=True)
class ReadCampaign:
    """document: JSON text as it is kept. budget: seconds of planning. queue: small or large."""

    campaign: Campaign
    document: str
    budget: float
    queue: str


def read_campaign(body: bytes, parsed: Any, largest_budget: float) -> ReadCampaign:
    """Validate a parsed document. Raises InvalidCampaign with every problem, up to a hundred."""
    try:
        campaign = read(parsed)
    except CampaignProblems as error:
        raise InvalidCampaign(_count(len(error.problems)), _told(error.problems)) from None
    by_rounds = campaign.planning.rounds is not None
    return ReadCampaign(
        campaign=campaign,
        document=body.decode().removeprefix("\ufeff"),
        budget=largest_budget if by_rounds else min(campaign.planning.seconds, largest_budget),
        queue=queue_for(campaign),
    )


def _told(problems: list[Problem]) -> list[Problem]:
    if len(problems) <= _MOST:
        return problems
    more = Problem("", f"and at least {len(problems) - _MOST} more problems", "mend these first, then send it again")
    return [*problems[:_MOST], more]


def _count(problems: int) -> str:
    return "There is one problem." if problems == 1 else f"There are {problems} problems."
