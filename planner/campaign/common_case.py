"""What to take where the maker has said nothing about what is not sure: common practice, without a source.

A tool that is not there yet comes late more often than early and may fail its first trial; a proven tool (no ready day)
does not, nor one whose steps are listed: these take longer than said more often than shorter. Presses run a little
slower than planned and stand still now and then, scrap is sometimes a few times the usual, purges take as much more or
less as their estimates' range says, benches are slower than timed, deliveries and pick-ups slip by days.
"""

from planner.campaign import Campaign
from planner.campaign.tools import Tool
from planner.campaign.uncertainty import FirstTrial, ThreePoint, ToolUncertainty, Uncertainty

READY_DAYS = ThreePoint(early=-1, likely=0, late=10)
STEP_SHARE = ThreePoint(early=0.8, likely=1.0, late=1.8)
REWORK_DAYS = ThreePoint(early=3, likely=7, late=12)
FIRST_TRIAL = FirstTrial(success_chance=0.6, rework_days=REWORK_DAYS)
CYCLE_SHARE = ThreePoint(early=0.97, likely=1.0, late=1.15)
EFFICIENCY_SHARE = ThreePoint(early=0.85, likely=1.0, late=1.05)
DELIVERY_DAYS = ThreePoint(early=-1, likely=0, late=7)
MOUNT_SHARE = ThreePoint(early=0.8, likely=1.0, late=1.8)
STOPS_SHARE = ThreePoint(early=0.0, likely=0.02, late=0.15)
PURGE_SHARE = ThreePoint(early=0.4, likely=1.0, late=2.5)
BENCH_SHARE = ThreePoint(early=0.85, likely=1.0, late=1.4)
CARRIER_DAYS = ThreePoint(early=0, likely=0, late=2)
SCRAP_LOW, SCRAP_HIGH, MOST_SCRAP = 0.5, 3.0, 0.5


def uncertainty_of(campaign: Campaign) -> tuple[Uncertainty, bool]:
    """What the campaign says is not sure, or the common case; and whether it is the common case."""
    if campaign.uncertainty is not None:
        return campaign.uncertainty, False
    return common_case(campaign), True


def tool_uncertainty(campaign: Campaign, tool: str) -> ToolUncertainty | None:
    """What is not sure about one tool, of what `uncertainty_of` says; None where the campaign leaves it out."""
    if campaign.uncertainty is not None:
        return campaign.uncertainty.tools.get(tool)
    return _tool(campaign.tools[tool])


def common_case(campaign: Campaign) -> Uncertainty:
    """The common case for every tool, press and supply of the campaign."""
    return Uncertainty(
        tools={name: _tool(tool) for name, tool in campaign.tools.items()},
        step_share=STEP_SHARE if any(tool.until_ready for tool in campaign.tools.values()) else None,
        efficiency_share=dict.fromkeys(campaign.presses, EFFICIENCY_SHARE),
        stops_share=dict.fromkeys(campaign.presses, STOPS_SHARE),
        purge_share=dict.fromkeys(campaign.presses, PURGE_SHARE),
        bench_share={"assembly": BENCH_SHARE, "packing": BENCH_SHARE},
        carrier_days=CARRIER_DAYS,
        piece_days=dict.fromkeys(campaign.pieces, DELIVERY_DAYS),
        resin_days=dict.fromkeys(campaign.resins, DELIVERY_DAYS),
        colour_days={c: DELIVERY_DAYS for c, colour in campaign.colours.items() if colour.let_down_percent > 0},
    )


def _tool(tool: Tool) -> ToolUncertainty:
    """The common case for one tool."""
    trial = tool.ready is not None and not tool.until_ready
    return ToolUncertainty(
        ready_days=READY_DAYS if trial else None,
        first_trial=FIRST_TRIAL if trial else None,
        cycle_share=CYCLE_SHARE,
        mount_share=MOUNT_SHARE,
        scrap_share=ThreePoint(
            early=SCRAP_LOW * tool.scrap_share,
            likely=tool.scrap_share,
            late=max(tool.scrap_share, min(MOST_SCRAP, SCRAP_HIGH * tool.scrap_share)),
        ),
    )
