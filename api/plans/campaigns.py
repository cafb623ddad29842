"""A campaign document from its bytes to something that can be queued, or all its problems at once."""

from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from api.problems import InvalidCampaign
from api.wording import problems_in
from planner.campaign import Campaign
from worker.queue.sizes import queue_for


@dataclass(frozen=True)
class ReadCampaign:
    """document: JSON text as it is kept. budget: seconds of planning. queue: small or large."""

    campaign: Campaign
    document: str
    budget: float
    queue: str


def read_campaign(body: bytes, parsed: Any, largest_budget: float) -> ReadCampaign:
    """Validate a parsed document. Raises InvalidCampaign with every problem."""
    document = body.decode().removeprefix("\ufeff")
    try:
        campaign = Campaign.model_validate_json(document)
    except ValidationError as error:
        problems = problems_in(error, parsed)
        raise InvalidCampaign(_count(len(problems)), problems) from None
    return ReadCampaign(
        campaign=campaign,
        document=body.decode().removeprefix("\ufeff"),
        budget=largest_budget
        if campaign.planning.rounds is not None
        else min(campaign.planning.seconds, largest_budget),
        queue=queue_for(campaign),
    )


def _count(problems: int) -> str:
    return "There is one problem." if problems == 1 else f"There are {problems} problems."
