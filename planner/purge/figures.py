"""Purge figures of a campaign: every barrel's matrix, from its colours, its given figures and its log."""

from collections.abc import Sequence

from planner.campaign import Campaign
from planner.campaign.materials import Colour
from planner.campaign.purging import PurgeLogged
from planner.campaign.tools import Tool
from planner.purge.bands import WAVELENGTHS_NM
from planner.purge.barrel import Barrel
from planner.purge.colour import Appearance, from_hex, from_lab, from_reflectance
from planner.purge.estimate import Melt, MeltKey, ResinChange, estimate
from planner.purge.given import GivenPurge
from planner.purge.log import LogEntry
from planner.purge.matrix import PurgeFigures, purge_figures


def shot_mass_g(campaign: Campaign, tool: Tool) -> list[float]:
    """Melt in one shot per barrel of the tool, g: parts of all open cavities and the runner."""
    first = campaign.parts[min(tool.cavities)]
    masses = []
    for k in range(len(first.barrels)):
        parts = sum(
            (number - tool.blocked_cavities.get(part, 0)) * campaign.parts[part].barrels[k].mass_g
            for part, number in tool.cavities.items()
        )
        masses.append(parts + (tool.runner_g[k] if k < len(tool.runner_g) else 0.0))
    return masses


def appearance(colour: Colour) -> Appearance | None:
    """How a colour looks; None where the maker has not said."""
    if colour.reflectance is not None:
        return from_reflectance(WAVELENGTHS_NM.tolist(), colour.reflectance, colour.finish, colour.strength)
    if colour.lab is not None:
        return from_lab(colour.lab, colour.finish, colour.strength)
    if colour.hex is not None:
        return from_hex(colour.hex, colour.finish, colour.strength)
    return None


def melt_of(campaign: Campaign, name: str) -> Melt:
    """`resin/colour` as a melt with its appearance."""
    resin, colour = name.split("/")
    return Melt(resin, colour, appearance(campaign.colours[colour]) if colour in campaign.colours else None)


def tolerance_of(campaign: Campaign, resin: str, colour: str) -> float:
    """CIEDE2000 a melt may be off: that of its most visible part in that colour."""
    strict = any(
        part.surface == "visible" and any(b.resin == resin for b in part.barrels) for part in campaign.parts.values()
    )
    return campaign.purging.visible_tolerance if strict else campaign.purging.hidden_tolerance


def campaign_figures(campaign: Campaign, melts: Sequence[str]) -> dict[tuple[str, int], PurgeFigures]:
    """For each (press, barrel number from 0): purge between every ordered pair of `melts` (`resin/colour`), kg."""
    named = [melt_of(campaign, m) for m in melts]
    sums = estimate(
        named,
        tolerance=[tolerance_of(campaign, m.resin, m.colour) for m in named],
        resin_change=ResinChange(campaign.purging.resin_change_holdups),
    )
    log = [_entry(campaign, n, logged) for n, logged in enumerate(campaign.purging.log)]
    figures = {}
    for press_id in sorted(campaign.presses):
        for k, barrel in enumerate(campaign.presses[press_id].barrels):
            figures[press_id, k] = purge_figures(
                Barrel(barrel_id(press_id, k), barrel.holdup_kg),
                named,
                given=_given(campaign, press_id, k),
                log=log,
                estimated=sums,
            )
    return figures


def barrel_id(press: str, barrel: int) -> str:
    """The name under which the log and the matrix know a barrel; `barrel` counts from 0."""
    return f"{press}:{barrel + 1}"


def _key(melt: str) -> MeltKey:
    resin, colour = melt.split("/")
    return MeltKey(resin, colour)


def _given(campaign: Campaign, press: str, barrel: int) -> list[GivenPurge]:
    """Figures that hold for this barrel; one for the barrel beats one for the press beats one for all."""
    chosen: dict[tuple[str, str], tuple[int, GivenPurge]] = {}
    for given in campaign.purging.given:
        if given.press not in (None, press) or given.barrel not in (None, barrel + 1):
            continue
        special = (given.press is not None) + (given.barrel is not None)
        pair = (given.from_, given.to)
        if pair not in chosen or special > chosen[pair][0]:
            chosen[pair] = (special, GivenPurge(_key(given.from_), _key(given.to), given.kg))
    return [figure for _, figure in chosen.values()]


def _entry(campaign: Campaign, number: int, logged: PurgeLogged) -> LogEntry:
    mass = None
    if logged.tool is not None:
        mass = shot_mass_g(campaign, campaign.tools[logged.tool])[logged.barrel - 1]
    return LogEntry(
        id=str(number),
        barrel=barrel_id(logged.press, logged.barrel - 1),
        old=_key(logged.from_),
        new=_key(logged.to),
        kg=logged.kg,
        shots=logged.shots,
        shot_mass_g=mass,
    )
