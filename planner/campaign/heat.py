"""How hot resins are moulded, what they stand, and what may follow what in a barrel without a third resin between.

A resin follows another directly where both flow at a heat that neither of them breaks down at. Where there is none, a
resin that may stand goes between while the barrel heats or cools: a bridge. What is known of a family stands in
`families.py`; what is not known is taken for the worst that it may be.
"""

from typing import NamedTuple

from planner.campaign.document import Campaign
from planner.campaign.families import Family
from planner.campaign.forbidden import why_forbidden
from planner.campaign.materials import Resin
from planner.campaign.resin_nature import family_of, nature

UNKNOWN_SURVIVES_C = 230.0
"""What a resin is counted on to stand of which nothing is known: as much as acetal (Polyplastics Duracon, 2.1)."""


UNKNOWN_PVC_SURVIVES_C = 190.0
"""The same of one of which only that it has to do with PVC is understood: as much as soft PVC (`families.py`)."""


class Heat(NamedTuple):
    """Degrees C. low, high: its melt range. survives: the hottest it stands for the minutes of a changeover.

    known: whether the range is given or its family's; else only `survives` counts. breaks_down: where it is held hotter
    than it stands; nobody knows: it may. surely: where it flows whatever its family's word may mean.
    """

    low: float
    high: float
    survives: float
    known: bool
    source: str
    breaks_down: bool = True
    surely: float = 0.0

    @property
    def set_point(self) -> float:
        """Where the barrel is set for it: the middle of its range."""
        return (self.low + self.high) / 2


UNKNOWN_HEAT = Heat(0.0, 0.0, UNKNOWN_SURVIVES_C, False, "unknown")
"""Of a melt that nobody knows."""


def heat_of(name: str, resin: Resin) -> Heat:
    """The resin's own figures before its family's; never above what a family that breaks down stands."""
    family = family_of(name, resin)
    given, limit = resin.melt_c or (family.melt_c if family else None), survives_at_most(name, resin)
    if given is None:
        return UNKNOWN_HEAT._replace(survives=min(UNKNOWN_SURVIVES_C, limit or UNKNOWN_SURVIVES_C))
    source = "the campaign" if resin.melt_c else family.melt_source if family else ""
    surely = given[0] if resin.melt_c or family is None else family.surely_flows_c or given[0]
    breaks = breaks_down(family) or family is None
    return Heat(float(given[0]), float(given[1]), float(limit or given[1]), True, source, breaks, float(surely))


def survives_at_most(name: str, resin: Resin) -> float | None:
    """The hottest it is known to stand for the minutes of a changeover, degrees C; None: nobody says."""
    family = family_of(name, resin)
    limit = family.survives_c if family is not None else None
    if family is None and nature(name, resin).speaks_of_halogen:
        return min(resin.survives_c or UNKNOWN_PVC_SURVIVES_C, UNKNOWN_PVC_SURVIVES_C)
    if resin.survives_c is None or limit is None:
        return resin.survives_c or limit
    return min(resin.survives_c, limit) if breaks_down(family) else resin.survives_c


def breaks_down(family: Family | None) -> bool:
    """Whether a family is known to break down where it is held hot."""
    return family is not None and family.heat_sensitive is True


def meet_at(one: Heat, other: Heat) -> float | None:
    """The least heat, degrees C, at which one may push the other out; None: one would break down or not flow."""
    least = max(one.surely if other.breaks_down else one.low, other.surely if one.breaks_down else other.low)
    return least if least <= min(one.survives, other.survives) else None


def goes_in_between(one: Heat, other: Heat) -> tuple[float, float] | None:
    """(least, most) degrees C at which one may push the other out; None: they do not meet."""
    least = meet_at(one, other)
    return None if least is None else (least, min(one.survives, other.survives))


def in_step(campaign: Campaign, one: str, other: str) -> bool:
    """Whether two resins may follow each other directly, in either order."""
    resins = campaign.resins
    return one == other or meet_at(heat_of(one, resins[one]), heat_of(other, resins[other])) is not None


def never_stands(name: str, resin: Resin) -> bool:
    """Whether it is acetal or halogenated, or a word of it says so, whatever the campaign says of its standing."""
    what = nature(name, resin)
    if what.doubt:
        return what.family is None and (what.speaks_of_acetal or what.speaks_of_halogen)
    return what.acetal or what.halogenated


def must_be_cleared(name: str, resin: Resin) -> bool:
    """Whether it may not be left in a barrel or hot runner that is shut down; acetal and halogenated ones never may."""
    what = nature(name, resin)
    if never_stands(name, resin):
        return True
    if resin.stands_cold is not None:
        return not resin.stands_cold
    return breaks_down(what.family) or (what.family is not None and what.family.may_stand is False)


def may_be_left(name: str, resin: Resin) -> bool:
    """Whether it is known that it may stand in a barrel that is shut down."""
    family = family_of(name, resin)
    if must_be_cleared(name, resin):
        return False
    return bool(resin.stands_cold) or (resin.stands_cold is None and family is not None and family.may_stand is True)


def bridges(campaign: Campaign, one: str, other: str, near: frozenset[str]) -> list[str]:
    """Resins that may go between two in a barrel, cheapest first; near: all that may ever come into such a barrel."""
    return [
        name for name in standing(campaign, near) if in_step(campaign, one, name) and in_step(campaign, name, other)
    ]


def bridges_from_unknown(campaign: Campaign, other: str, near: frozenset[str]) -> list[str]:
    """The same between a melt that nobody knows and a resin."""
    return [
        name
        for name in standing(campaign, near)
        if in_step(campaign, name, other) and meet_at(UNKNOWN_HEAT, heat_of(name, campaign.resins[name])) is not None
    ]


def standing(campaign: Campaign, near: frozenset[str]) -> list[str]:
    """Resins that may stand, need no drying, can be had and are forbidden with none of `near`; cheapest first."""
    found = [
        name
        for name, resin in campaign.resins.items()
        if may_be_left(name, resin)
        and not resin.drying_hours
        and resin.can_be_had
        and all(why_forbidden(campaign, name, other) is None for other in near)
    ]
    return sorted(found, key=lambda name: (campaign.resins[name].price_per_kg, name))


def cleared_with(campaign: Campaign, resin: str, near: frozenset[str]) -> str | None:
    """The resin that clears one that may not stand: undyed, so it has a natural colour; None: there is none."""
    fit = (
        name
        for name in standing(campaign, near)
        if campaign.resins[name].natural_colour in campaign.colours and in_step(campaign, resin, name)
    )
    return next(fit, None)


def used_resins(campaign: Campaign) -> frozenset[str]:
    """Every resin a part asks for, a barrel or hot runner holds or has held, or others put through a press."""
    held = {name for press in campaign.presses.values() for barrel in press.barrels for name in barrel.resins_in_it}
    held |= {name for press in campaign.presses.values() for name in press.resins_of_others}
    held |= {name for tool in campaign.tools.values() for name in tool.hot_runner_resins}
    asked = {barrel.resin for part in campaign.parts.values() for barrel in part.barrels}
    return frozenset((held | asked) & set(campaign.resins))
