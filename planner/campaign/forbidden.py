"""A6: resins that must never meet in a barrel, dryer or hot runner, not even with a purge between.

Nobody needs to know a resin to be safe from it: what may be acetal, for all the campaign says, is kept from what may be
halogenated.
"""

from dataclasses import dataclass

from planner.campaign.document import Campaign
from planner.campaign.families import DURACON
from planner.campaign.materials import Resin
from planner.campaign.resin_nature import Nature, nature

SOURCE = f"{DURACON}; other acetal suppliers' moulding guides say the same (common practice)"


def is_acetal(name: str, resin: Resin) -> bool:
    """Whether a resin is acetal, or may be for all that is said of it."""
    return nature(name, resin).acetal


def is_halogenated(name: str, resin: Resin) -> bool:
    """Whether a resin is PVC or otherwise halogenated, or may be for all that is said of it."""
    return nature(name, resin).halogenated


@dataclass(frozen=True)
class Clash:
    """Why two resins must never meet, in words; asks: the (resin, field) whose answer might lift it, None: nothing."""

    why: str
    asks: tuple[str, str] | None = None


def clash(campaign: Campaign, one: str, other: str) -> Clash | None:
    """Why two resins must never meet; None when they may. Resins that aren't in the document meet nothing.

    POM with PVC, or with a halogenated flame retardant, decomposes violently and no purge makes it safe. The maker may
    name further pairs.
    """
    if one not in campaign.resins or other not in campaign.resins or one == other:
        return None
    for this, that in ((one, other), (other, one)):
        acetal, near = nature(this, campaign.resins[this]), nature(that, campaign.resins[that])
        if acetal.acetal and near.halogenated:
            return _violent(this, acetal, that, near)
        if acetal.acetal and near.unsure:
            return Clash(f"nobody has said that {near.family.abbreviation if near.family else that} is safe beside POM")
    for pair in campaign.forbidden_pairs:
        if {pair.one, pair.other} == {one, other}:
            return Clash(pair.why or "the campaign forbids the pair")
    return None


def why_forbidden(campaign: Campaign, one: str, other: str) -> str | None:
    """Why two resins must never meet, in words; None when they may."""
    found = clash(campaign, one, other)
    return found.why if found else None


def _violent(this: str, acetal: Nature, that: str, near: Nature) -> Clash:
    halogenated = near.family.abbreviation if near.family and near.family.danger else "a halogenated flame retardant"
    for name, doubted in ((that, near), (this, acetal)):
        if doubted.doubt:
            return Clash(
                f"of `{name}` nobody knows whether it is safe: {doubted.doubt}, and POM and PVC, or POM and a "
                "halogenated flame retardant, decompose violently together",
                (name, doubted.asks),
            )
    return Clash(f"POM and {halogenated} decompose violently together")
