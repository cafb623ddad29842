"""Colour sanity of a whole campaign: which tool, press and barrel a finding concerns, before the first shot.

The order of work counts where there is a plan. Without one the best order from what the barrel holds is looked at: a
hard change that even that order makes is one the maker cannot order away.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from planner.campaign import Campaign
from planner.campaign.fit import fitting, resins_of
from planner.demand.items import ordered_items
from planner.demand.shared_parts import makers
from planner.purge.colour import Appearance
from planner.purge.figures import appearance, campaign_figures, hot_runner_fits, with_hot_runner
from planner.purge.matrix import PurgeFigures
from planner.purge.order import order_against_rule
from planner.purge.sanity import NEAR_TOLERANCES, Finding, clashing_orders, hard_changes, near_colours

Work = Mapping[str, Mapping[str, Sequence[tuple[str, ...]]]]
"""press -> tool -> the melts (one per barrel) it runs there, in order of work."""


@dataclass(frozen=True)
class PlacedFinding:
    """A finding and where it is. press None: on any press; barrel None: all barrels; barrels count from 1."""

    tool: str
    press: str | None
    barrel: int | None
    finding: Finding


def campaign_findings(campaign: Campaign, work: Work | None = None) -> list[PlacedFinding]:
    """Every finding about the campaign's colours; `work`: a plan's order, none: before there is one.

    The campaign must have passed its cross-checks.
    """
    colours = _colours_of_tools(campaign)
    held = {barrel.holds for press in campaign.presses.values() for barrel in press.barrels if barrel.holds}
    melts = sorted(
        {melt for tool, combinations in colours.items() for c in combinations for melt in _melts(campaign, tool, c)}
        | held
    )
    figures = campaign_figures(campaign, melts)
    found: list[PlacedFinding] = []
    for tool_id in sorted(colours):
        found += _near(campaign, tool_id, colours[tool_id])
        found += _clashes(campaign, figures, melts, tool_id, colours[tool_id])
    for tool_id in sorted(colours):
        found += _hard(campaign, figures, melts, tool_id, colours[tool_id], work)
    return found


def _colours_of_tools(campaign: Campaign) -> dict[str, list[tuple[str, ...]]]:
    """tool -> the combinations of colours, one per barrel, in which something ordered or spare is made on it."""
    makes = makers(campaign)
    found: dict[str, set[tuple[str, ...]]] = {}
    for part, colours in ordered_items(campaign):
        for tool in makes.get(part, []):
            found.setdefault(tool, set()).add(colours)
    return {tool: sorted(combinations) for tool, combinations in found.items()}


def _melts(campaign: Campaign, tool_id: str, colours: tuple[str, ...]) -> tuple[str, ...]:
    resins = resins_of(campaign, campaign.tools[tool_id]) or []
    return tuple(f"{resin}/{colour}" for resin, colour in zip(resins, colours, strict=True))


def _near(campaign: Campaign, tool_id: str, combinations: Sequence[tuple[str, ...]]) -> Iterator[PlacedFinding]:
    parts = [campaign.parts[part] for part in campaign.tools[tool_id].cavities]
    visible = any(part.surface == "visible" for part in parts)
    tolerance = campaign.purging.visible_tolerance if visible else campaign.purging.hidden_tolerance
    for k in range(len(combinations[0])):
        looks: list[tuple[str, Appearance]] = []
        for colour in sorted({combination[k] for combination in combinations}):
            look = appearance(campaign.colours[colour])
            if look is not None:
                looks.append((colour, look))
        for finding in near_colours(looks, tolerance, NEAR_TOLERANCES):
            yield PlacedFinding(tool_id, None, k + 1, finding)


def _clashes(
    campaign: Campaign,
    figures: Mapping[tuple[str, int], PurgeFigures],
    melts: Sequence[str],
    tool_id: str,
    combinations: Sequence[tuple[str, ...]],
) -> Iterator[PlacedFinding]:
    """Body and rim in one tool, on the first press it fits."""
    presses = fitting(campaign, tool_id)
    if not presses or len(combinations[0]) < 2:
        return
    barrels = []
    for k in range(len(combinations[0])):
        wanted = [melts.index(_melts(campaign, tool_id, combination)[k]) for combination in combinations]
        barrels.append((_behind(campaign, tool_id, figures, presses[0], k), wanted))
    for finding in clashing_orders([" + ".join(c) for c in combinations], barrels):
        yield PlacedFinding(tool_id, presses[0], None, finding)


def _hard(
    campaign: Campaign,
    figures: Mapping[tuple[str, int], PurgeFigures],
    melts: Sequence[str],
    tool_id: str,
    combinations: Sequence[tuple[str, ...]],
    work: Work | None,
) -> Iterator[PlacedFinding]:
    tool = campaign.tools[tool_id]
    for k, hot in enumerate(tool.hot_runner_kg):
        for press in fitting(campaign, tool_id) if hot > 0 else []:
            all_in = _behind(campaign, tool_id, figures, press, k)
            at_start = campaign.presses[press]
            holds = at_start.barrels[k].holds if at_start.tool == tool_id else None
            begins = melts.index(holds) if holds else None
            if work is not None:
                runs = [run[k] for run in work.get(press, {}).get(tool_id, [])]
                order = [melts.index(melt) for n, melt in enumerate(runs) if n == 0 or runs[n - 1] != melt]
            else:
                wanted = sorted({melts.index(_melts(campaign, tool_id, c)[k]) for c in combinations})
                order = list(order_against_rule(all_in, wanted, begins).best.sequence)
            if order:
                for finding in hard_changes(all_in, order, campaign.purging.compound, holds=begins):
                    yield PlacedFinding(tool_id, press, k + 1, finding)


def _behind(
    campaign: Campaign, tool: str, figures: Mapping[tuple[str, int], PurgeFigures], press: str, k: int
) -> PurgeFigures:
    """The barrel with the tool's hot runner behind it, purged with melt."""
    held, fit = campaign.tools[tool].hot_runner_kg, hot_runner_fits(figures).get((tool, k))
    return with_hot_runner(figures[press, k], held[k] if k < len(held) else 0.0, None, fit)
