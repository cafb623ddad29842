"""Which purge figure holds for each ordered pair of melts in a barrel: the one place that decides.

In this order of trust: measured (the maker's log of this very change), given (a figure given for the pair),
estimated (colour science and washout, times the barrel's own factor). The schedule calls `purge_figures`
once per barrel and hot runner and reads kilograms from `kg[i, j]`; `cost` turns them into shots and minutes.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from planner.purge.barrel import Barrel
from planner.purge.basis import Basis
from planner.purge.compound import Bools, CompoundFigures
from planner.purge.difference import Array
from planner.purge.estimate import Estimate, Melt, MeltKey, estimate
from planner.purge.factor import P90, FactorFit
from planner.purge.finish import COMMON_PRACTICE
from planner.purge.given import GivenPurge, given_pairs
from planner.purge.log import LogEntry, LogReading, read_log
from planner.purge.opacity import Limit
from planner.purge.tolerance import VISIBLE_FACE


@dataclass(frozen=True, eq=False)
class PurgeFigures:
    """Purge of every ordered pair in one barrel, kg (n, n), from melt i to melt j at [i, j], to the gram.

    kg: the planning figure, everything shot to waste; low, high: its P10 and P90.
    compound_kg: how much of `kg` is purging compound; the rest is the new melt. soak_s: seconds it stands.
    hot_kg: how much of `kg` goes through the hot runner behind the barrel.
    basis: `Basis` codes (n, n).
    log: the barrel's log as read, with its fit and the entries set aside.
    compound: what the changes would take with a purging compound; None where there is none.

    Made by `purge_figures` they are those of purging with melt alone; `with_compound` puts the compound's in.
    """

    barrel: Barrel
    melts: tuple[Melt, ...]
    kg: Array
    low: Array
    high: Array
    compound_kg: Array
    soak_s: Array
    hot_kg: Array
    basis: NDArray[np.int8]
    estimate: Estimate
    log: LogReading
    compound: CompoundFigures | None = None

    @property
    def fit(self) -> FactorFit:
        return self.log.fit

    def first(self, count: int) -> "PurgeFigures":
        """The figures of the first `count` melts; the fit still rests on every entry of the log."""
        cut = (slice(count), slice(count))
        return replace(
            self,
            melts=self.melts[:count],
            kg=self.kg[cut],
            low=self.low[cut],
            high=self.high[cut],
            compound_kg=self.compound_kg[cut],
            soak_s=self.soak_s[cut],
            hot_kg=self.hot_kg[cut],
            compound=self.compound and self.compound.first(count),
            basis=self.basis[cut],
            estimate=self.estimate.first(count),
        )

    def explain(self, old: int, new: int) -> str:
        """Say in one sentence what the figure from melt `old` to melt `new` rests on."""
        basis = Basis(int(self.basis[old, new]))
        if basis is Basis.NONE:
            return "same melt, nothing to purge"
        if self.compound_kg[old, new] > 0:
            return self._with_compound(basis)
        if basis is Basis.MEASURED:
            count = sum((u.old, u.new) == (old, new) for u in self.log.used)
            return f"measured: {count} logged purge{'s' if count > 1 else ''} of this change"
        if basis is Basis.GIVEN:
            return "given for this pair"
        return f"estimated: {self._reason(old, new)}{self._fitted()}"

    def _reason(self, old: int, new: int) -> str:
        total = float(self.estimate.hold_ups[old, new])
        colour = float(self.estimate.colour_hold_ups[old, new])
        fraction = float(self.estimate.clean_fraction[old, new])
        held = f"{total:.1f} hold-ups of {self.barrel.melt_kg:g} kg"
        if total > colour:
            return f"{held} for the change of resin (default figure is {COMMON_PRACTICE})"
        if math.isnan(fraction):
            return f"{held}, a colour is not described ({COMMON_PRACTICE})"
        limit = Limit(int(self.estimate.limit[old, new]))
        why = f": {limit.words} ({COMMON_PRACTICE})" if limit.words else ""
        return f"{held} down to {fraction:.2g} of the old colour{why}"

    def _with_compound(self, basis: Basis) -> str:
        if basis is Basis.GIVEN:
            return "given for this pair with purging compound"
        fit = self.compound.fit if self.compound else None
        if fit is not None and fit.entries:
            return (
                f"estimated: purging compound and rinse, times this barrel's factor {fit.factor:.2f} "
                f"from {fit.entries} logged purges with compound"
            )
        return f"estimated: purging compound and rinse, default figures are {COMMON_PRACTICE}"

    def _fitted(self) -> str:
        if not self.fit.entries:
            return ""
        return f", times this barrel's factor {self.fit.factor:.2f} from {self.fit.entries} logged purges"


def purge_figures(
    barrel: Barrel,
    melts: Sequence[Melt],
    *,
    tolerance: ArrayLike = VISIBLE_FACE,
    given: Iterable[GivenPurge] = (),
    log: Iterable[LogEntry] = (),
    compound_kg: Array | None = None,
    estimated: Estimate | None = None,
) -> PurgeFigures:
    """Decide the purge of every ordered pair of `melts` in `barrel`.

    melts: each (resin, colour) once; include what the barrel holds at the start.
    tolerance: CIEDE2000 of the surface: one figure, one per new melt (n,), or one per pair (n, n).
    given, log: figures given for pairs and logged purges; those naming other melts are passed over (given)
        or set aside with the reason (log). Log entries of other barrels are passed over.
    compound_kg: (n, n), what each pair takes with a purging compound, rinse included, before any factor: what log
        entries made with it are held against; left out: there is none.
    estimated: `estimate(melts, ...)`, where washout and resin changes are others than usual, or to share between
        barrels; tolerance then counts for nothing.

    Raises ValueError for melts or given pairs that appear twice, or an estimate made for other melts.
    """
    index = _index(melts)
    sums = estimate(melts, tolerance) if estimated is None else estimated
    if sums.melts != tuple(melts):
        raise ValueError("the shared estimate was made for other melts; make it from the same list")
    plain = sums.hold_ups * barrel.melt_kg
    reading = read_log(log, barrel.id, index, plain, barrel.melt_kg, sums.rests_on_colour, compound_kg)

    kg = plain * reading.fit.factor
    down, up = reading.fit.reach
    low, high = kg * down, kg * up
    basis = np.full(kg.shape, Basis.ESTIMATED, dtype=np.int8)
    np.fill_diagonal(basis, Basis.NONE)

    def settle(pair: tuple[int, int], figure: float, ends: tuple[float, float], code: Basis) -> None:
        kg[pair], (low[pair], high[pair]) = figure, ends
        basis[pair] = code

    for pair, one in given_pairs(given, index).items():
        settle(pair, one.kg, one.range_kg, Basis.GIVEN)
    for pair, logs in _logged_pairs(reading).items():
        middle = float(np.median(logs))
        reach = P90 * reading.fit.repeat * math.sqrt(1 + 1 / len(logs))
        ends = (math.exp(middle - reach), math.exp(middle + reach))
        settle(pair, math.exp(middle), ends, Basis.MEASURED)

    return PurgeFigures(
        barrel=barrel,
        melts=tuple(melts),
        kg=np.round(kg, 3),
        low=np.round(low, 3),
        high=np.round(high, 3),
        compound_kg=np.zeros_like(kg),
        soak_s=np.zeros_like(kg),
        hot_kg=np.zeros_like(kg),
        basis=basis,
        estimate=sums,
        log=reading,
    )


def _index(melts: Sequence[Melt]) -> dict[MeltKey, int]:
    index: dict[MeltKey, int] = {}
    for position, melt in enumerate(melts):
        if melt.key in index:
            raise ValueError(f"{melt.key} is listed twice; list each melt once")
        index[melt.key] = position
    return index


def with_compound(figures: PurgeFigures, chosen: Bools) -> PurgeFigures:
    """The figures with the compound's wherever it is `chosen` (n, n)."""
    other = figures.compound
    if other is None:
        return figures
    return replace(
        figures,
        kg=np.where(chosen, other.total_kg, figures.kg),
        low=np.where(chosen, other.low, figures.low),
        high=np.where(chosen, other.high, figures.high),
        compound_kg=np.where(chosen, other.kg, 0.0),
        soak_s=np.where(chosen, other.soak_s, 0.0),
        hot_kg=np.where(chosen, other.hot_kg, figures.hot_kg),
        basis=np.where(chosen, other.basis, figures.basis).astype(np.int8),
    )


def _logged_pairs(reading: LogReading) -> dict[tuple[int, int], list[float]]:
    """Natural logs of the kilograms of each change that the log holds."""
    pairs: dict[tuple[int, int], list[float]] = {}
    for one in reading.used:
        pairs.setdefault((one.old, one.new), []).append(math.log(one.kg))
    return pairs
