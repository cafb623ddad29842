"""The purge log: real changes as the maker recorded them, each counted or set aside with the reason."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.purge.difference import Array
from planner.purge.estimate import MeltKey
from planner.purge.factor import FactorFit, fit_factor

FAR_OUT = 3.5
"""Spreads from the fit beyond which an entry is set aside until the maker confirms it."""

NEVER_FAR_OUT_BELOW = math.log(4)
"""An entry within four times of the fit is never set aside for its distance."""

ABSURD = 50.0
"""Times off the estimate beyond which a wrong unit is the likely reason."""

CROWD = 200
"""Entries beyond which an entry is judged by all of them, itself included."""

REPEAT_PRIOR = 0.25
REPEAT_WORTH = 2.0
"""Prior spread (natural log) of the same change done again, and the repeats it is worth; common practice."""


@dataclass(frozen=True)
class LogEntry:
    """One real change in a barrel. Give `kg`, or `shots` and `shot_mass_g`, or all three.

    clean: False when the purge was stopped before the colour was clean.
    compound: True when a purging compound was used; kg then counts it and what rinsed it out.
    confirmed: the maker has looked at it again and stands by it, however far out it is.
    tool, hot_runner_kg: the tool it was purged through and the melt its hot runner holds behind this barrel, kg. What
        went to waste then cleared both, and how much of it each took cannot be told apart: each by the melt it holds.
    """

    id: str
    barrel: str
    old: MeltKey
    new: MeltKey
    kg: float | None = None
    shots: int | None = None
    shot_mass_g: float | None = None
    clean: bool = True
    compound: bool = False
    confirmed: bool = False
    tool: str = ""
    hot_runner_kg: float = 0.0

    @property
    def purged_kg(self) -> float | None:
        """Kilograms until clean, from the scale if there, else from shots; None if neither says."""
        if self.kg is not None:
            return self.kg
        return self._shots_kg

    @property
    def _shots_kg(self) -> float | None:
        if self.shots is None or self.shot_mass_g is None:
            return None
        return self.shots * self.shot_mass_g / 1000

    def fault(self) -> str:
        """Why the entry cannot be used at all, "" when it can."""
        if self.old == self.new:
            return "old and new melt are the same; correct one of them"
        kg, by_shots = self.purged_kg, self._shots_kg
        if kg is None:
            return "neither kilograms nor shots with their mass are given; add one"
        if not (math.isfinite(kg) and kg > 0):
            return f"{kg:g} kg is no purge; give what went to waste until clean"
        if by_shots is not None and not 0.8 <= by_shots / kg <= 1.25:
            return f"{kg:g} kg and {by_shots:g} kg by shots contradict each other; correct one"
        if not self.clean:
            return "the colour was not clean at the end, so the true figure is larger"
        return ""


@dataclass(frozen=True)
class SetAside:
    """An entry kept but left out, and why."""

    entry: LogEntry
    reason: str


@dataclass(frozen=True)
class Used:
    """An entry that counts.

    old, new: its melts' indices; kg: the barrel's share until clean; log_factor: natural log of kg over the estimate,
    NaN where the estimate does not rest on colour; with a purging compound: over the compound's own figure.
    """

    entry: LogEntry
    old: int
    new: int
    kg: float
    log_factor: float


@dataclass(frozen=True)
class LogReading:
    """What a barrel's log says: entries that count, entries set aside, and the fit.

    used, fit: of purges with melt alone. compound_used, compound_fit: of those with a purging compound.
    """

    used: tuple[Used, ...]
    set_aside: tuple[SetAside, ...]
    fit: FactorFit
    compound_used: tuple[Used, ...]
    compound_fit: FactorFit


def read_log(
    entries: Iterable[LogEntry],
    barrel: str,
    index: Mapping[MeltKey, int],
    estimate_kg: Array,
    held_kg: float,
    telling: NDArray[np.bool_],
    compound_kg: Array | None = None,
) -> LogReading:
    """Sort one barrel's entries into used and set aside, and fit its factors: with melt alone, and with compound.

    index: melt to its row and column in the arrays.
    estimate_kg: (n, n), the estimate with factor 1; held_kg: melt the barrel holds.
    telling: (n, n), where the estimate rests on colour, so that an entry says something about the factor;
        other entries still count as measured for their own change.
    compound_kg: (n, n), what a purging compound and its rinse take; None: there is no compound.

    Entries of other barrels are passed over; every entry of this one ends in `used`, `compound_used` or `set_aside`.
    """
    expected = np.where(telling, estimate_kg, np.nan)
    used: list[Used] = []
    with_compound: list[Used] = []
    aside: list[SetAside] = []
    seen: set[str] = set()
    for entry in entries:
        if entry.barrel != barrel:
            continue
        against = compound_kg if entry.compound else estimate_kg
        share = held_kg / (held_kg + entry.hot_runner_kg)
        reason = entry.fault() or _misfit(entry, index, against, share)
        if entry.id in seen:
            reason = f"entry {entry.id} is there twice; give the second its own id"
        seen.add(entry.id)
        kg = entry.purged_kg
        if reason or kg is None:
            aside.append(SetAside(entry, reason))
            continue
        kg *= share
        old, new = index[entry.old], index[entry.new]
        if entry.compound and compound_kg is not None:
            with_compound.append(Used(entry, old, new, kg, math.log(kg / compound_kg[old, new])))
        else:
            used.append(Used(entry, old, new, kg, math.log(kg / expected[old, new])))
    kept, fit = _kept(used, aside)
    compound_kept, compound_fit = _kept(with_compound, aside)
    return LogReading(tuple(kept), tuple(aside), fit, tuple(compound_kept), compound_fit)


def _kept(used: list[Used], aside: list[SetAside]) -> tuple[list[Used], FactorFit]:
    """The entries that are not far off all the others, and the fit to them; the rest go to `aside`."""
    kept: list[Used] = []
    fit = _fit(used)
    for one in used:
        times = _far_out(one, used, fit)
        if times > 0 and not one.entry.confirmed:
            text = f"{times:.1f} times off this barrel's other entries; confirm it if it is right"
            aside.append(SetAside(one.entry, text))
        else:
            kept.append(one)
    return kept, _fit(kept)


def _far_out(one: Used, used: Sequence[Used], fit: FactorFit) -> float:
    """How many times an entry is off what all the others say, 0 if that is not out of the way.

    The entry is left out of what it is judged by, or it would widen the spread it is measured with; in a crowd
    one entry widens nothing.
    """
    if not abs(one.log_factor - math.log(fit.factor)) > NEVER_FAR_OUT_BELOW:
        return 0.0
    others = fit if len(used) > CROWD else _fit([other for other in used if other is not one])
    distance = abs(one.log_factor - math.log(others.factor))
    return math.exp(distance) if distance > FAR_OUT * others.spread else 0.0


def _misfit(entry: LogEntry, index: Mapping[MeltKey, int], estimate_kg: Array | None, share: float) -> str:
    """Why an entry, sound in itself, does not fit this set of melts, "" when it does."""
    if estimate_kg is None:
        return "a purging compound was used, and none is named to hold the entry against"
    for key in (entry.old, entry.new):
        if key not in index:
            return f"{key} is not among the melts asked for"
    expected = float(estimate_kg[index[entry.old], index[entry.new]])
    kg = share * (entry.purged_kg or 0.0)
    if expected > 0 and not 1 / ABSURD <= kg / expected <= ABSURD and not entry.confirmed:
        return f"{kg:g} kg against an estimate of {expected:.3g} kg: check the unit, or confirm it"
    return ""


def _fit(used: Sequence[Used]) -> FactorFit:
    telling = [one.log_factor for one in used if math.isfinite(one.log_factor)]
    return fit_factor(telling, _repeat_spread(used))


def _repeat_spread(used: Sequence[Used]) -> float:
    """Spread (natural log) of repeats of one change, pooled over the changes, with the prior's worth."""
    by_pair: dict[tuple[int, int], list[float]] = {}
    for one in used:
        by_pair.setdefault((one.old, one.new), []).append(math.log(one.kg))
    squares = sum(float(np.var(logs)) * len(logs) for logs in by_pair.values())
    freedom = len(used) - len(by_pair)
    return math.sqrt((REPEAT_WORTH * REPEAT_PRIOR**2 + squares) / (REPEAT_WORTH + freedom))
