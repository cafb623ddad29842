"""What a resin of the campaign is, by its family and its id: one known family, or what it may be all the same."""

from dataclasses import dataclass, replace
from functools import lru_cache

from planner.campaign.families import Family
from planner.campaign.family_words import Said, said_by
from planner.campaign.materials import Resin

NOT_SAID = ("", "other")
"""A family left out, and the word that older documents hold in its place."""


@dataclass(frozen=True)
class Nature:
    """What is known of a resin.

    family: the one it is; None: unknown, or a blend without a row of its own. acetal, halogenated, unsure: it is, or
    may be for all the campaign says. doubt: what is not known of it, in words, and asks, the resin's field that would
    tell; both "" where all is known. speaks_of_acetal, speaks_of_halogen: some word of it does, whether or not the rest
    is understood. contradiction: its fields say two different things; "" where they agree.
    """

    family: Family | None
    acetal: bool
    halogenated: bool
    unsure: bool
    doubt: str = ""
    asks: str = ""
    contradiction: str = ""
    speaks_of_acetal: bool = False
    speaks_of_halogen: bool = False


def nature(name: str, resin: Resin) -> Nature:
    """What the resin with this id is."""
    return _nature(name, resin.family, resin.halogenated_flame_retardant, resin.neither_acetal_nor_halogenated)


def family_of(name: str, resin: Resin) -> Family | None:
    """The one family a resin is known to be; None: unknown, or a blend without a row of its own."""
    return nature(name, resin).family


@lru_cache(maxsize=4096)
def _nature(name: str, field: str, flame_retardant: bool | None, neither: bool) -> Nature:
    by_id, by_field = said_by(name), said_by(field)
    found = _of(by_id, by_field, field, flame_retardant, neither)
    acetal, halogen = by_id.acetal or by_field.acetal, by_id.halogen or by_field.halogen
    return replace(found, speaks_of_acetal=acetal, speaks_of_halogen=halogen)


def _of(by_id: Said, by_field: Said, field: str, flame_retardant: bool | None, neither: bool) -> Nature:
    unsaid = field.strip().casefold() in NOT_SAID
    said = by_id if unsaid else by_field
    acetal = by_id.acetal or by_field.acetal
    halogenated = by_id.halogen or by_field.halogen or bool(flame_retardant)
    perhaps = flame_retardant is None and (by_id.flame or by_field.flame) and not halogenated
    contradiction = _contradiction(by_id, by_field, unsaid)
    if acetal and halogenated:
        contradiction = contradiction or "it is said to be acetal and halogenated at once"
    if neither and (acetal or halogenated or perhaps):
        contradiction = contradiction or "`neither_acetal_nor_halogenated` is true, and its words say otherwise"
    if contradiction:
        return Nature(None, True, True, True, contradiction, "family", contradiction)
    if not said.whole and not neither:
        shown = field.strip()
        doubt = "its family is not said" if unsaid else f"its family `{shown}` is none that the planner knows"
        return Nature(None, True, True, True, doubt, "family")
    family = _single(by_id, said) if said.whole else None
    unsure = by_id.unsure or by_field.unsure
    if perhaps:
        doubt = "whether its flame retardant is halogenated is not said"
        return Nature(family, acetal, True, unsure, doubt, "halogenated_flame_retardant")
    return Nature(family, acetal, halogenated, unsure)


def _contradiction(by_id: Said, by_field: Said, unsaid: bool) -> str:
    """Where id and family name different things, in words."""
    if unsaid:
        return ""
    worse = (by_id.acetal and not by_field.acetal) or (by_id.halogen and not by_field.halogen)
    elsewhere = by_id.whole and by_field.whole and not (_kin(by_id) & _kin(by_field))
    if not worse and not elsewhere:
        return ""
    other = " and ".join(f.abbreviation for f in by_id.families) or ("acetal" if by_id.acetal else "halogen")
    told = " and ".join(f.abbreviation for f in by_field.families) or "something else"
    return f"its id says {other}, its family {told}"


def _kin(said: Said) -> frozenset[str]:
    return frozenset().union(*(family.belongs_to for family in said.families))


def _single(by_id: Said, said: Said) -> Family | None:
    """The one family named; the id may narrow it (`pa66` of family PA)."""
    if len(said.families) != 1:
        return None
    wide = said.families[0]
    narrow = by_id.families[0] if by_id.whole and len(by_id.families) == 1 else wide
    return narrow if wide.abbreviation in narrow.belongs_to and len(narrow.belongs_to) == 1 else wide
