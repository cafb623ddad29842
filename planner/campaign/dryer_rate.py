"""A3: whether a dryer keeps up with what a press draws from it (RULES.md, R22).

A dryer dries what it holds in its hours of drying, so in so long no more may be drawn; nor more than it holds after the
people have left who could top it up.
"""

from collections import Counter, defaultdict
from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from planner.campaign.document import Campaign
from planner.campaign.families import STAYS_HOURS
from planner.campaign.fit import shot_mass_g
from planner.campaign.lights_out import lights_out_seconds
from planner.campaign.melts import let_down
from planner.campaign.purging import RESIN_CHANGE_HOLDUPS
from planner.campaign.resin_nature import family_of

ROUNDING = 1e-9
RESTARTS = 3
"""Cold restarts allowed for where a run is to live on one filling."""

BEFORE_LEAVING_S = 300
"""Seconds before people leave in which they fill no dryer any more."""


def dryer_of(campaign: Campaign, resin: str) -> str | None:
    """The dryer a resin goes through: the named one, else one of its own; None: it is not dried."""
    terms = campaign.resins[resin]
    return (terms.dryer or resin) if terms.drying_hours > 0 else None


def dryers_to_plan(campaign: Campaign, resins: Sequence[str]) -> list[str]:
    """The dryers of those resins that decide when a run may begin: the ones of which it is said how much they hold,
    and those that several of the resins share."""
    users: Counter[str] = Counter(dryer for resin in set(resins) if (dryer := dryer_of(campaign, resin)))
    said = {dryer_of(campaign, resin) for resin in resins if campaign.resins[resin].dryer_kg is not None}
    return sorted(dryer for dryer, count in users.items() if count > 1 or dryer in said)


def window_seconds(campaign: Campaign, resin: str) -> int:
    """Most seconds of work that have to live on one filling: as long as drying takes, and what a press moulds after
    the people who could top it up have left."""
    drying = ceil(Fraction(str(campaign.resins[resin].drying_hours)) * 3600)
    if campaign.floor.attended is None:
        return drying
    alone = (lights_out_seconds(campaign, press) for press in campaign.presses)
    return drying + BEFORE_LEAVING_S + max(alone, default=0)


def keeps_hours(campaign: Campaign, resin: str) -> float:
    """Hours that a resin may stay in its dryer once dry: its own, else its family's."""
    terms = campaign.resins[resin]
    if terms.dried_keeps_hours is not None:
        return terms.dried_keeps_hours
    family = family_of(resin, terms)
    return max(family.drying.stays_hours if family and family.drying else STAYS_HOURS, terms.drying_hours)


def drawn_kg_per_hour(campaign: Campaign, tool: str, press: str, melts: Sequence[str]) -> dict[str, float]:
    """resin -> kg an hour that the tool's shots draw on that press, without masterbatch."""
    drawn: dict[str, float] = defaultdict(float)
    seconds = campaign.tools[tool].cycle_s / campaign.presses[press].efficiency
    for grams, melt in zip(shot_mass_g(campaign, campaign.tools[tool]), melts, strict=False):
        resin, colour = melt.rsplit("/", 1)
        drawn[resin] += grams / 1000 * (1 - let_down(campaign, resin, colour)) * 3600 / seconds
    return dict(drawn)


def outruns_dryer(campaign: Campaign, tool: str, press: str, melts: Sequence[str], shots: float) -> str | None:
    """The resin of which the run draws more on one filling than its dryer holds; None: each keeps up."""
    mould = campaign.tools[tool]
    seconds = mould.cycle_s / campaign.presses[press].efficiency
    for resin, rate in drawn_kg_per_hour(campaign, tool, press, melts).items():
        holds = campaign.resins[resin].dryer_kg
        if dryer_of(campaign, resin) is None or holds is None:
            continue
        if rate * window_seconds(campaign, resin) / 3600 <= holds + ROUNDING:
            continue
        held = sum(barrel.holdup_kg for barrel in campaign.presses[press].barrels) + sum(mould.hot_runner_kg)
        with_waste = shots + (1 + RESTARTS) * mould.startup_shots
        if rate * seconds / 3600 * with_waste + 2 * RESIN_CHANGE_HOLDUPS * held > holds:
            return resin
    return None


def in_one_dryer(campaign: Campaign, melts: Sequence[str]) -> tuple[str, str] | None:
    """Two different resins that a run would draw from one dryer at the same time."""
    seen: dict[str, str] = {}
    for melt in melts:
        resin = melt.rsplit("/", 1)[0]
        dryer = dryer_of(campaign, resin)
        if dryer is not None and seen.setdefault(dryer, resin) != resin:
            return seen[dryer], resin
    return None
