"""Where nobody knows what a barrel or a hot runner holds when a run begins."""

from planner.campaign.document import Campaign

UNKNOWN = "unknown melt"
"""Stands for `resin/colour` where nobody knows either."""


def unknown_melts(campaign: Campaign) -> bool:
    """Whether there is any such place."""
    return any(
        unknown_in(campaign, press, barrel)
        for press, machine in campaign.presses.items()
        for barrel in range(len(machine.barrels))
    ) or any(tool.hot_runner_unknown(barrel) for tool in campaign.tools.values() for barrel in range(2))


def unknown_in(campaign: Campaign, press: str, barrel: int) -> bool:
    """Whether it may ever be unknown what a press's barrel (from 0) holds: it is at the start, or others work there.

    Then nobody says what they leave, or several leave different melts, of whom nobody can say whose is in it where they
    end at once.
    """
    if campaign.presses[press].barrels[barrel].unsaid:
        return True
    others = campaign.presses[press].others
    left = {one.leaves[barrel] for one in others if barrel < len(one.leaves)}
    return len(left) > 1 or any(len(one.leaves) <= barrel for one in others)
