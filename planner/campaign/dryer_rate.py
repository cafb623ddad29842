"""A3: whether a dryer keeps up with what a press draws: kilograms an hour = what it holds / hours of drying."""

from collections import defaultdict
from collections.abc import Sequence

from planner.campaign.document import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.melts import let_down
from planner.campaign.purging import RESIN_CHANGE_HOLDUPS

ROUNDING = 1e-9
RESTARTS = 3
"""Cold restarts allowed for where a run is to live on one load."""


def dryer_kg_per_hour(campaign: Campaign, resin: str) -> float | None:
    """What its dryer dries in an hour, kg; None: it needs none, or nobody says how much the dryer holds."""
    terms = campaign.resins[resin]
    if terms.drying_hours <= 0 or terms.dryer_kg is None:
        return None
    return terms.dryer_kg / terms.drying_hours


def drawn_kg_per_hour(campaign: Campaign, tool: str, press: str, melts: Sequence[str]) -> dict[str, float]:
    """resin -> kg an hour that the tool's shots draw on that press, without masterbatch."""
    drawn: dict[str, float] = defaultdict(float)
    seconds = campaign.tools[tool].cycle_s / campaign.presses[press].efficiency
    for grams, melt in zip(shot_mass_g(campaign, campaign.tools[tool]), melts, strict=False):
        resin, colour = melt.rsplit("/", 1)
        drawn[resin] += grams / 1000 * (1 - let_down(campaign, resin, colour)) * 3600 / seconds
    return dict(drawn)


def outruns_dryer(campaign: Campaign, tool: str, press: str, melts: Sequence[str], shots: float) -> str | None:
    """The resin that the run would draw faster than its dryer dries; None: each keeps up, or one load is enough."""
    mould = campaign.tools[tool]
    seconds = mould.cycle_s / campaign.presses[press].efficiency
    for resin, rate in drawn_kg_per_hour(campaign, tool, press, melts).items():
        dries, holds = dryer_kg_per_hour(campaign, resin), campaign.resins[resin].dryer_kg
        if dries is None or holds is None or rate <= dries + ROUNDING:
            continue
        held = sum(barrel.holdup_kg for barrel in campaign.presses[press].barrels) + sum(mould.hot_runner_kg)
        with_waste = shots + (1 + RESTARTS) * mould.startup_shots
        if rate * seconds / 3600 * with_waste + 2 * RESIN_CHANGE_HOLDUPS * held > holds:
            return resin
    return None
