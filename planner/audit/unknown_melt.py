"""What is purged of a melt that nobody knows (A5): the most that any melt of the two documents would take there, or one
that neither names, another resin in a colour nobody has described.
"""

import math

from planner.audit import resin_heat
from planner.audit.bridges import heating, told_heats, told_ways_in
from planner.audit.case import Asked, Case, Work
from planner.audit.figures import KG, exact, same
from planner.audit.findings import Findings
from planner.audit.purge_estimates import P90, UNKNOWN_COLOUR, Figure, Opinion, given_figure
from planner.audit.resin_heat import UNKNOWN_STANDS
from planner.campaign import Campaign
from planner.campaign.purging import PurgeGiven
from planner.plan.document import Purge


def melts_about(case: Case) -> set[str]:
    """Every melt that a run makes, a barrel or hot runner holds at first, others leave or a closing leaves."""
    found = {melt for run in case.plan.runs for melt in run.melts}
    for press in case.campaign.presses.values():
        found |= {barrel.holds for barrel in press.barrels if barrel.holds}
        found |= {melt for others in press.others for melt in others.leaves}
    for tool in case.campaign.tools.values():
        found |= {melt for melt, kg in zip(tool.hot_runner_holds, tool.hot_runner_kg, strict=False) if kg > 0}
    for run in case.plan.runs:
        found |= {one.to for stretch in run.stretches if stretch.closing for one in stretch.closing.cleared}
    return found


def _hold_ups(campaign: Campaign, resin: str) -> float:
    told = [change.holdups for change in campaign.purging.resin_changes if change.to == resin]
    return max([UNKNOWN_COLOUR, campaign.purging.resin_change_holdups, *told])


def worst_in_barrel(
    case: Case, opinion: Opinion, press: str, barrel: int, comes: str, given: dict[str, PurgeGiven]
) -> Figure:
    """The dearest purge of a barrel (from 1). given: by melt before, figures of the maker's own."""
    fit = opinion.fit(press, barrel)
    held = case.campaign.presses[press].barrels[barrel - 1].holdup_kg
    kg = _hold_ups(case.campaign, comes.rpartition("/")[0]) * held * fit.factor
    found = [Figure(kg, 0.0, kg * math.exp(P90 * fit.spread))]
    for melt in sorted(melts_about(case) - {comes}):
        one = opinion.barrel(press, barrel, melt, comes)
        found.append(given_figure(given[melt].kg) if melt in given and not one.measured else one)
    return Figure(max(one.kg for one in found), 0.0, max(one.high for one in found))


def worst_in_hot_runner(case: Case, opinion: Opinion, tool: str, barrel: int, comes: str) -> Figure:
    """The dearest purge of a tool's hot runner behind a barrel (from 1)."""
    held = case.campaign.tools[tool].hot_runner_kg[barrel - 1]
    fit = opinion.hot_fit(tool, barrel)
    times, up = (fit.factor, math.exp(P90 * fit.spread)) if fit else (1.0, 7.0)
    kg = _hold_ups(case.campaign, comes.rpartition("/")[0]) * held * times
    kg = max([kg, *(opinion.hot_runner(tool, barrel, one, comes).kg for one in melts_about(case) - {comes})])
    return Figure(kg, 0.0, kg * up)


def heated(case: Case, work: Work, comes: str) -> int:
    """Seconds from whichever set point of the campaign's melts is furthest away."""
    return max((heating(case, work, one.rpartition("/")[0], comes) for one in melts_about(case)), default=0)


def over_a_bridge(case: Case, work: Work, asked: Asked, purge: Purge, notes: Findings) -> Purge:
    """Heating and bridge after an unknown melt; what is left of the purge is one with the melt to come."""
    resin, in_barrel = asked.comes.rpartition("/")[0], asked.where == "barrel"
    seconds = heated(case, work, resin) if in_barrel else 0
    notes.expect(
        purge.heat_seconds == seconds,
        f"{work}: {asked} heats or cools at most {seconds} s, the plan gives {purge.heat_seconds} s",
    )
    told_heats(case, work, asked, purge, notes)
    told_ways_in(case, work, asked, purge, notes)
    least = resin_heat.heat(case.campaign, resin).low or 0.0
    must = in_barrel and least > UNKNOWN_STANDS
    if not purge.bridge:
        notes.expect(
            not must and purge.bridge_kg == 0,
            f"{work}: {asked}: a melt nobody knows stands {UNKNOWN_STANDS:g} degrees C, `{resin}` melts at {least:g}, "
            "and no resin goes between",
        )
        return purge
    entry, hot = case.campaign.resins.get(purge.bridge), resin_heat.heat(case.campaign, purge.bridge)
    notes.expect(
        must
        and entry is not None
        and not entry.drying_hours
        and resin_heat.may_stay(case.campaign, purge.bridge)
        and resin_heat.meet(case.campaign, purge.bridge, resin)
        and (hot.low or 0.0) <= min(hot.stands, UNKNOWN_STANDS),
        f"{work}: `{purge.bridge}` cannot go between a melt nobody knows and `{resin}`, or need not",
    )
    barrels = work.press.barrels
    held = barrels[asked.barrel - 1].holdup_kg if asked.barrel <= len(barrels) else 0.0
    kg = float(exact(held) * exact(case.campaign.purging.bridge_holdups))
    notes.expect(same(purge.bridge_kg, kg, KG), f"{work}: `{purge.bridge}` takes {kg:.3f} kg, not {purge.bridge_kg:g}")
    rest = {field: getattr(purge, field) - purge.bridge_kg for field in ("kg", "kg_p10", "kg_p90")}
    return purge.model_copy(update=rest)
