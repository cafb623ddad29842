"""The table of a plan's own colour changes, from its campaign."""

from api.purge.schemas import ColourChanges, colour_changes
from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.melt_density import melt_density
from planner.campaign.melts import melt_price
from planner.demand.items import run_demands
from planner.purge.cost import PurgePrices
from planner.purge.figures import behind, campaign_figures, hot_runner_fits
from planner.purge.table import PurgePace, PurgeTable, purge_table
from planner.purge.times import air_shots_kg_h


def changes_of(campaign: Campaign, tool: str, press: str, barrel: int) -> ColourChanges:
    """Every change between the melts the tool runs through that barrel of that press. barrel: from 1."""
    return colour_changes(_table(campaign, tool, press, barrel - 1), campaign.currency, press, barrel)


def _table(campaign: Campaign, tool_id: str, press_id: str, k: int) -> PurgeTable:
    tool, press = campaign.tools[tool_id], campaign.presses[press_id]
    melts = {run.melts[k] for run in run_demands(campaign) if run.tool == tool_id}
    held = press.barrels[k].holds
    names = sorted(melts | ({held} if held else set()))
    all_figures = campaign_figures(campaign, names)
    figures, hot = all_figures[press_id, k], hot_runner_fits(all_figures).get((tool_id, k))
    hot_runner_kg = tool.hot_runner_kg[k] if k < len(tool.hot_runner_kg) else 0.0
    compound = campaign.purging.compound
    prices = PurgePrices(
        melt_per_kg=[melt_price(campaign, name) for name in names],
        compound_per_kg=compound.price_per_kg if compound else 0.0,
        disposal_per_kg=campaign.floor.disposal_per_kg,
        press_per_hour=press.rate_per_hour,
        setter_per_hour=campaign.floor.setter_rate_per_hour,
    )
    share, resins = campaign.purging.air_shot_share, campaign.resins
    pace = PurgePace(
        [air_shots_kg_h(press.barrels[k], share, melt_density(name, resins[name])) for name in _resins(names)],
        shot_mass_g(campaign, tool)[k],
        (tool.purge_cycle_s or tool.cycle_s) / press.efficiency,
    )
    all_in = behind(campaign.purging, k, figures, hot_runner_kg, hot)
    return purge_table(all_in, pace, prices, campaign.planning.aim)


def _resins(melts: list[str]) -> list[str]:
    return [melt.rpartition("/")[0] for melt in melts]
