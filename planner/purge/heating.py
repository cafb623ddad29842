"""What heating, bridges and closings take: seconds between set points, kilograms in hold-ups.

Rates and hold-ups are common practice, no source; a press and a campaign may say their own.
"""

from math import ceil

from planner.campaign import Campaign
from planner.campaign.heat import heat_of


def heating_seconds(campaign: Campaign, press: str, one: str, other: str) -> int:
    """Whole seconds for a barrel to heat or cool from one resin's set point to another's; 0 where one is not known."""
    old, new = heat_of(one, campaign.resins[one]), heat_of(other, campaign.resins[other])
    if not (old.known and new.known):
        return 0
    machine = campaign.presses[press]
    change = new.set_point - old.set_point
    rate = machine.heats_c_per_minute if change > 0 else machine.cools_c_per_minute
    return ceil(round(abs(change) / rate * 60, 6))


def bridge_kg(campaign: Campaign, press: str, barrel: int) -> float:
    """Kg of a bridge in a barrel (from 0), to the gram."""
    return round(campaign.purging.bridge_holdups * campaign.presses[press].barrels[barrel].holdup_kg, 3)


def closing_kg(campaign: Campaign, held_kg: float) -> float:
    """Kg that clear a barrel or hot runner holding so much melt that must not stand, to the gram."""
    return round(campaign.purging.closing_holdups * held_kg, 3)


def hot_runner_kg(campaign: Campaign, tool: str, barrel: int) -> float:
    """Melt in a tool's hot runner behind a barrel (from 0), kg."""
    held = campaign.tools[tool].hot_runner_kg
    return held[barrel] if barrel < len(held) else 0.0
