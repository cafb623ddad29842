"""A purging compound: what each change takes of it and of new melt to rinse it out, and where it goes before melt.

The maker's figures for a pair go before hold-ups of the barrel times the factor that the barrel's own log of such
changes gives. Defaults are common practice without a source: the compound's supplier knows better.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from planner.campaign.planning import Aim
from planner.campaign.purging import Compound, CompoundGiven, CompoundRule
from planner.purge.basis import Basis
from planner.purge.difference import Array
from planner.purge.estimate import Melt
from planner.purge.factor import P90, UNLOGGED, FactorFit, hot_runner_reach
from planner.purge.given import GIVEN_SPREAD

Bools = NDArray[np.bool_]


class Place(NamedTuple):
    """Where it is used: press and barrel from 0, or the hot runner behind that barrel on any press (press None)."""

    press: str | None
    barrel: int
    hot_runner: bool = False


@dataclass(frozen=True, eq=False)
class CompoundFigures:
    """From melt i to melt j at [i, j], n melts; kg to the gram.

    kg: compound; rinse_kg: new melt; low, high: P10 and P90 of both together; soak_s: seconds it stands.
    hot_kg: how much of both goes through the hot runner behind a barrel.
    basis: `Basis` codes. offered: whether it may be used; only: whether the maker wants nothing else there.
    fit: the factor that the log gives.
    """

    kg: Array
    rinse_kg: Array
    low: Array
    high: Array
    soak_s: Array
    hot_kg: Array
    basis: NDArray[np.int8]
    offered: Bools
    only: Bools
    fit: FactorFit

    @property
    def total_kg(self) -> Array:
        """Everything shot to waste."""
        total: Array = np.round(self.kg + self.rinse_kg, 3)
        return total

    def first(self, count: int) -> "CompoundFigures":
        """The figures of the first `count` melts."""
        cut = (slice(count), slice(count))
        names = ("kg", "rinse_kg", "low", "high", "soak_s", "hot_kg", "basis", "offered", "only")
        return replace(self, **{name: getattr(self, name)[cut] for name in names})


def compound_figures(
    compound: Compound, melts: Sequence[Melt], held_kg: float, place: Place, fit: FactorFit = UNLOGGED
) -> CompoundFigures:
    """What every ordered pair takes in a place that holds `held_kg` of melt; `fit`: of the log of such changes."""
    n = len(melts)
    other = ~np.eye(n, dtype=bool)
    used: Array = np.where(other, compound.holdups * held_kg * fit.factor, 0.0)
    rinse: Array = np.where(other, compound.rinse_holdups * held_kg * fit.factor, 0.0)
    down, up = hot_runner_reach(None) if place.hot_runner else fit.reach
    lows, highs = np.full((n, n), down), np.full((n, n), up)
    soak = np.where(other, compound.soak_minutes * 60.0, 0.0)
    basis = np.where(other, Basis.ESTIMATED, Basis.NONE).astype(np.int8)
    names = np.array([f"{melt.resin}/{melt.colour}" for melt in melts], dtype=object)

    for given in [] if place.hot_runner else sorted(compound.given, key=_closeness):
        if _here(given, place):
            pair = _pairs(given, names)
            used[pair], rinse[pair] = given.kg, given.rinse_kg
            lows[pair], highs[pair] = math.exp(-P90 * GIVEN_SPREAD), math.exp(P90 * GIVEN_SPREAD)
            basis[pair] = Basis.GIVEN
            minutes = compound.soak_minutes if given.soak_minutes is None else given.soak_minutes
            soak[pair] = minutes * 60.0

    use = np.full((n, n), compound.use, dtype=object)
    for rule in sorted(compound.rules, key=_closeness):
        if _here(rule, place):
            use[_pairs(rule, names)] = rule.use
    fit_for = np.array([not compound.resins or melt.resin in compound.resins for melt in melts], dtype=bool)
    offered = other & fit_for[:, None] & fit_for[None, :] & (use != "never")
    if place.hot_runner and not compound.hot_runners:
        offered &= False
    total = used + rinse
    return CompoundFigures(
        kg=np.round(used, 3),
        rinse_kg=np.round(rinse, 3),
        low=np.round(total * lows, 3),
        high=np.round(total * highs, 3),
        soak_s=np.ceil(np.round(soak, 6)),
        hot_kg=np.zeros((n, n)),
        basis=basis,
        offered=offered,
        only=offered & (use == "always"),
        fit=fit,
    )


class Weighed(NamedTuple):
    """What a way of purging takes, arrays of one shape: kg shot to waste, seconds, money (press and setter too)."""

    kg: Array
    seconds: Array
    money: Array


def better(aim: Aim, compound: Weighed, melt: Weighed) -> Bools:
    """Where the compound serves the aim better than melt alone; money decides where that is alike."""
    first = {"soonest": "seconds", "waste": "kg"}.get(aim, "money")
    one, other = getattr(compound, first), getattr(melt, first)
    ahead: Bools = (one < other) | ((one == other) & (compound.money < melt.money))
    return ahead


def _closeness(entry: CompoundGiven | CompoundRule) -> int:
    """How many things an entry names: the closest goes last, so that it holds."""
    return sum(named is not None for named in (entry.press, entry.barrel, entry.from_, entry.to))


def _here(entry: CompoundGiven | CompoundRule, place: Place) -> bool:
    return entry.press in (None, place.press) and entry.barrel in (None, place.barrel + 1)


def _pairs(entry: CompoundGiven | CompoundRule, names: NDArray[np.object_]) -> Bools:
    old = np.ones(names.size, dtype=bool) if entry.from_ is None else names == entry.from_
    new = np.ones(names.size, dtype=bool) if entry.to is None else names == entry.to
    pairs: Bools = old[:, None] & new[None, :] & ~np.eye(names.size, dtype=bool)
    return pairs
