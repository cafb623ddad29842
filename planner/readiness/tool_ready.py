"""The day a tool can be mounted to make good parts: as the maker says, when its last step is done, or when its trial is
known to have worked, whichever is latest."""

from datetime import date, datetime

from planner.calendars.moments import first_moment
from planner.campaign import Campaign
from planner.readiness.network import Network


def ready_days(campaign: Campaign) -> dict[str, date | datetime | None]:
    """Tool -> day or wall-clock moment from which it can be mounted; None: from the start."""
    steps: dict[str, date | datetime] = {}
    if any(tool.until_ready for tool in campaign.tools.values()):
        network = Network(campaign)
        steps = network.ready(network.likely)
    trials = {} if campaign.uncertainty is None else campaign.uncertainty.tools
    known = {name: one.first_trial.known for name, one in trials.items() if one.first_trial is not None}
    return {name: later(later(tool.ready, steps.get(name)), known.get(name)) for name, tool in campaign.tools.items()}


def ready_of(campaign: Campaign, tool: str) -> date | datetime | None:
    """Day or wall-clock moment from which one tool can be mounted; None: from the start."""
    return ready_days(campaign)[tool]


def step_words(campaign: Campaign, tool: str, step: str) -> str:
    """A step of a tool in words, as the maker would say it."""
    steps = campaign.tools[tool].until_ready if tool in campaign.tools else {}
    words = steps[step].what if step in steps else ""
    return f"{words or step.replace('-', ' ').replace('_', ' ')} ({tool})"


def later(one: date | datetime | None, other: date | datetime | None) -> date | datetime | None:
    """The later of two days (their first moments) or moments; None is before all."""
    if one is None or other is None:
        return one if other is None else other
    return one if first_moment(one) >= first_moment(other) else other
