"""A6: resins that must never meet in a barrel, dryer or hot runner, not even with a purge between."""

from planner.campaign.document import Campaign
from planner.campaign.materials import Resin

SOURCE = "resin suppliers' moulding guides (DuPont Delrin; Polyplastics Duracon, section 2.1)"


def is_acetal(resin: Resin) -> bool:
    """Whether a resin is POM, read generously: a grade such as `POM-C`, or `acetal`, is one."""
    family = resin.family.upper()
    return "POM" in family or "ACETAL" in family


def is_pvc(resin: Resin) -> bool:
    """Whether a resin is PVC, read generously: `PVC-U`, `uPVC`."""
    return "PVC" in resin.family.upper()


def why_forbidden(campaign: Campaign, one: str, other: str) -> str | None:
    """Why two resins must never meet, in words; None when they may.

    POM with PVC, or with a halogenated flame retardant, decomposes violently and no purge makes it safe; the maker
    may name further pairs. Resins that aren't in the document meet nothing.
    """
    if one not in campaign.resins or other not in campaign.resins:
        return None
    for this, that in ((one, other), (other, one)):
        acetal, near = campaign.resins[this], campaign.resins[that]
        if is_acetal(acetal):
            if is_pvc(near):
                return "POM and PVC decompose violently together"
            if near.halogenated_flame_retardant:
                return "POM and a halogenated flame retardant decompose violently together"
    for pair in campaign.forbidden_pairs:
        if {pair.one, pair.other} == {one, other}:
            return pair.why or "the campaign forbids the pair"
    return None
