"""The steps left on tools as the plan shows them: when each begins and ends, what it waited for, and which decide."""

from datetime import datetime, timedelta

from planner.calendars.clock import Clock
from planner.campaign import Campaign
from planner.plan.needed import ToolStepDates
from planner.readiness import Laid, Network, step_words


def tool_steps(campaign: Campaign, clock: Clock) -> list[ToolStepDates]:
    """One line per step, tool by tool, if all goes as expected."""
    network = Network(campaign)
    laid = network.likely
    deciding = {(tool, of) for tool in network.ends(laid) for of in network.chain(laid, tool)}

    def moment(at: float) -> datetime:
        midnight = datetime(network.first.year, network.first.month, network.first.day)
        return clock.moment(clock.seconds(midnight + timedelta(seconds=round(at * 86400))))

    return [
        ToolStepDates(
            tool=tool,
            step=step_id,
            what=step_words(campaign, tool, step_id),
            by=(step := campaign.tools[tool].until_ready[step_id]).by,
            begin=moment(one.begin),
            end=moment(one.end),
            done=step.done is not None,
            waits_for=_waited(campaign, one),
            decides=(tool, (tool, step_id)) in deciding,
        )
        for (tool, step_id), one in laid.items()
    ]


def _waited(campaign: Campaign, one: Laid) -> str:
    kind, of = one.waited
    if of is None:
        return "its day" if kind == "day" else ""
    words = step_words(campaign, *of)
    return words if kind == "step" else f"whoever does it, busy until then with {words}"
