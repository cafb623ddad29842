"""A1: which press a tool fits. Works on documents that may still hold mistakes, so it assumes no id is known."""

from decimal import Decimal

from planner.campaign.document import Campaign
from planner.campaign.tools import Tool


def resins_of(campaign: Campaign, tool: Tool) -> list[str] | None:
    """The resin of each barrel of a tool, from its first part; None while the document doesn't say."""
    first = next((campaign.parts[part] for part in sorted(tool.cavities) if part in campaign.parts), None)
    return [barrel.resin for barrel in first.barrels] if first else None


def shot_mass_g(campaign: Campaign, tool: Tool) -> list[float]:
    """Melt of one shot per barrel of the tool, g: parts of all open cavities and the runner.

    Summed as the maker wrote the figures, so that a shot of exactly a barrel's limit is not above it.
    """
    masses: list[Decimal] = []
    for part, cavities in tool.cavities.items():
        barrels = campaign.parts[part].barrels if part in campaign.parts else []
        for k, barrel in enumerate(barrels):
            if k == len(masses):
                masses.append(Decimal(repr(tool.runner_g[k])) if k < len(tool.runner_g) else Decimal(0))
            masses[k] += max(0, cavities - tool.blocked_cavities.get(part, 0)) * Decimal(repr(barrel.mass_g))
    return [float(mass) for mass in masses]


def misfits(campaign: Campaign, tool_id: str, press_id: str) -> list[str]:
    """Why the tool doesn't fit the press, in words; empty: it fits (leaving hours and resins aside)."""
    tool = campaign.tools[tool_id]
    return _misfits(campaign, tool, shot_mass_g(campaign, tool), press_id)


def _misfits(campaign: Campaign, tool: Tool, grams: list[float], press_id: str) -> list[str]:
    press = campaign.presses[press_id]
    reasons = []
    if press_id not in tool.presses:
        reasons.append(f"`{press_id}` is not among the tool's `presses`")
    if len(grams) > len(press.barrels):
        reasons.append(f"`{press_id}` has one barrel and the tool needs two")
    if tool.clamp_kn > press.clamp_kn:
        reasons.append(f"`{press_id}` clamps {press.clamp_kn:g} kN and the tool asks for {tool.clamp_kn:g}")
    for k, (shot, barrel) in enumerate(zip(grams, press.barrels, strict=False), start=1):
        if shot > barrel.shot_max_g:
            reasons.append(
                f"its shot of {shot:g} g is larger than the {barrel.shot_max_g:g} g barrel {k} of `{press_id}` injects"
            )
        elif shot < barrel.shot_min_g:
            reasons.append(
                f"its shot of {shot:g} g is below the {barrel.shot_min_g:g} g barrel {k} of `{press_id}` meters well"
            )
    return reasons


def fitting(campaign: Campaign, tool_id: str) -> list[str]:
    """Presses the tool fits, sorted."""
    tool = campaign.tools[tool_id]
    grams = shot_mass_g(campaign, tool)
    return [press for press in sorted(campaign.presses) if not _misfits(campaign, tool, grams, press)]
