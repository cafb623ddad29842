"""Purge figures of a campaign: every barrel's matrix, from its colours, its given figures and its log."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from planner.campaign import Campaign
from planner.campaign.fit import shot_mass_g
from planner.campaign.materials import Look
from planner.campaign.purging import PurgeLogged, Purging
from planner.purge.bands import WAVELENGTHS_NM
from planner.purge.barrel import Barrel
from planner.purge.colour import Appearance, from_hex, from_lab, from_reflectance
from planner.purge.compound import CompoundFigures, Place, compound_figures
from planner.purge.difference import Array
from planner.purge.estimate import Estimate, Melt, MeltKey, ResinChange, estimate
from planner.purge.factor import FactorFit, fit_factor, hot_runner_reach
from planner.purge.given import GivenPurge
from planner.purge.log import LogEntry
from planner.purge.matrix import PurgeFigures, purge_figures


def appearance(colour: Look) -> Appearance | None:
    """How a colour looks; None where the maker has not said."""
    if colour.reflectance is not None:
        return from_reflectance(WAVELENGTHS_NM.tolist(), colour.reflectance, colour.finish, colour.strength)
    if colour.lab is not None:
        return from_lab(colour.lab, colour.finish, colour.strength)
    if colour.hex is not None:
        return from_hex(colour.hex, colour.finish, colour.strength)
    return None


def melt_of(campaign: Campaign, name: str) -> Melt:
    """`resin/colour` as a melt with its appearance."""
    resin, colour = name.rsplit("/", 1)
    return Melt(resin, colour, appearance(campaign.colours[colour]) if colour in campaign.colours else None)


def tolerance_of(campaign: Campaign, resin: str, colour: str) -> float:
    """CIEDE2000 a melt may be off: that of its most visible part in that colour; strict where no part has it."""
    surfaces = set(_surfaces(campaign, resin, colour))
    return campaign.purging.hidden_tolerance if surfaces == {"hidden"} else campaign.purging.visible_tolerance


def _surfaces(campaign: Campaign, resin: str, colour: str) -> Iterator[str]:
    for product in campaign.products.values():
        for colourway in product.colourways.values():
            for part_id, colours in colourway.items():
                part = campaign.parts[part_id]
                if any(b.resin == resin and c == colour for b, c in zip(part.barrels, colours, strict=True)):
                    yield part.surface


def resin_change_of(purging: Purging) -> ResinChange:
    """The maker's figures for changes of resin, in hold-ups."""
    return ResinChange(
        purging.resin_change_holdups, {(change.from_, change.to): change.holdups for change in purging.resin_changes}
    )


def campaign_figures(campaign: Campaign, melts: Sequence[str]) -> dict[tuple[str, int], PurgeFigures]:
    """For each (press, barrel number from 0): purge between every ordered pair of `melts` (`resin/colour`), kg.

    Logged changes of other melts count for a barrel's factor as well, though they have no row here.
    """
    logged = {melt for entry in campaign.purging.log for melt in (entry.from_, entry.to)}
    named = [melt_of(campaign, m) for m in [*melts, *sorted(logged - set(melts))]]
    sums = estimate(
        named,
        tolerance=[tolerance_of(campaign, m.resin, m.colour) for m in named],
        resin_change=resin_change_of(campaign.purging),
    )
    log = [
        log_entry(logged, n, _shot_mass(campaign, logged), _hot_runner(campaign, logged))
        for n, logged in enumerate(campaign.purging.log)
    ]
    figures = {}
    for press_id in sorted(campaign.presses):
        for k, barrel in enumerate(campaign.presses[press_id].barrels):
            all_melts = barrel_figures(campaign.purging, press_id, k, barrel.holdup_kg, sums, log)
            figures[press_id, k] = all_melts.first(len(melts))
    return figures


def barrel_figures(
    purging: Purging, press: str, barrel: int, holdup_kg: float, sums: Estimate, log: Iterable[LogEntry]
) -> PurgeFigures:
    """One barrel's figures (from 0) for the melts of `sums`, with what a purging compound would take beside them."""
    compound, place = purging.compound, Place(press, barrel)
    unlogged = None if compound is None else compound_figures(compound, sums.melts, holdup_kg, place)
    figures = purge_figures(
        Barrel(barrel_id(press, barrel), holdup_kg),
        sums.melts,
        given=given_for(purging, press, barrel),
        log=log,
        compound_kg=None if unlogged is None else unlogged.total_kg,
        estimated=sums,
    )
    if compound is None:
        return figures
    return replace(figures, compound=compound_figures(compound, sums.melts, holdup_kg, place, figures.log.compound_fit))


def behind(
    purging: Purging, barrel: int, figures: PurgeFigures, hot_runner_kg: float, fit: FactorFit | None = None
) -> PurgeFigures:
    """A barrel's figures (from 0) with a hot runner behind it, compound included where the maker has one.

    fit: of the hot runner's own log entries; None: there are none.
    """
    compound = purging.compound
    if compound is None or hot_runner_kg <= 0:
        return with_hot_runner(figures, hot_runner_kg, None, fit)
    place = Place(None, barrel, hot_runner=True)
    cleaned = compound_figures(compound, figures.melts, hot_runner_kg, place)
    return with_hot_runner(figures, hot_runner_kg, cleaned, fit)


def hot_runner_melt(figures: PurgeFigures, held_kg: float, fit: FactorFit | None = None) -> Array:
    """(n, n) kg of melt that clear a hot runner that holds `held_kg`: the estimate's hold-ups times its own factor."""
    kg: Array = np.round(figures.estimate.hold_ups * held_kg * (fit.factor if fit else 1.0), 3)
    return kg


def with_hot_runner(
    figures: PurgeFigures,
    hot_runner_kg: float,
    compound: CompoundFigures | None = None,
    fit: FactorFit | None = None,
) -> PurgeFigures:
    """A barrel's figures and the hot runner behind it, kg in all.

    The hot runner takes the estimate's hold-ups times its own factor, whatever the barrel's own figures rest on: as in
    the schedule. Each has the range of its own evidence; both may be at their worst, so the ends add up. compound: what
    it takes where the compound is allowed in it; elsewhere melt clears it, also behind a barrel cleared with compound.
    """
    if hot_runner_kg <= 0:
        return figures
    more = hot_runner_melt(figures, hot_runner_kg, fit)
    down, up = hot_runner_reach(fit)
    ends = np.round(more * down, 3), np.round(more * up, 3)
    return replace(
        figures,
        barrel=replace(figures.barrel, hot_runner_kg=hot_runner_kg),
        kg=figures.kg + more,
        hot_kg=more,
        low=figures.low + ends[0],
        high=figures.high + ends[1],
        compound=figures.compound and _compound_behind(figures.compound, compound, more, ends),
    )


def _compound_behind(
    barrel: CompoundFigures, hot: CompoundFigures | None, melt_kg: Array, ends: tuple[Array, Array]
) -> CompoundFigures:
    nothing = np.zeros_like(melt_kg)
    used, rinse, soak, (low, high) = nothing, melt_kg, nothing, ends
    if hot is not None:
        used, rinse = np.where(hot.offered, hot.kg, used), np.where(hot.offered, hot.rinse_kg, rinse)
        soak = np.where(hot.offered, hot.soak_s, soak)
        low, high = np.where(hot.offered, hot.low, low), np.where(hot.offered, hot.high, high)
    return replace(
        barrel,
        kg=barrel.kg + used,
        rinse_kg=barrel.rinse_kg + rinse,
        hot_kg=np.round(used + rinse, 3),
        low=barrel.low + low,
        high=barrel.high + high,
        soak_s=barrel.soak_s + soak,
    )


def barrel_id(press: str, barrel: int) -> str:
    """The name under which the log and the matrix know a barrel; `barrel` counts from 0."""
    return f"{press}:{barrel + 1}"


def _key(melt: str) -> MeltKey:
    resin, colour = melt.rsplit("/", 1)
    return MeltKey(resin, colour)


def given_for(purging: Purging, press: str | None, barrel: int) -> list[GivenPurge]:
    """Figures that hold for this barrel (from 0); one for the barrel beats one for the press beats one for all."""
    chosen: dict[tuple[str, str], tuple[int, GivenPurge]] = {}
    for given in purging.given:
        if given.press not in (None, press) or given.barrel not in (None, barrel + 1):
            continue
        special = (given.press is not None) + (given.barrel is not None)
        pair = (given.from_, given.to)
        if pair not in chosen or special > chosen[pair][0]:
            chosen[pair] = (special, GivenPurge(_key(given.from_), _key(given.to), given.kg))
    return [figure for _, figure in chosen.values()]


def _hot_runner(campaign: Campaign, logged: PurgeLogged) -> Sequence[float]:
    return campaign.tools[logged.tool].hot_runner_kg if logged.tool else ()


def _shot_mass(campaign: Campaign, logged: PurgeLogged) -> float | None:
    if logged.shot_g is not None or logged.tool is None:
        return logged.shot_g
    return shot_mass_g(campaign, campaign.tools[logged.tool])[logged.barrel - 1]


def hot_runner_fits(figures: Mapping[tuple[str, int], PurgeFigures]) -> dict[tuple[str, int], FactorFit]:
    """(tool, barrel from 0) -> the factor on the hot runner's estimate, from every log entry purged through that tool.

    A hot runner that no entry names keeps its estimate and is left out.
    """
    seen: dict[tuple[str, int], list[float]] = {}
    for (_, barrel), found in sorted(figures.items()):
        for used in found.log.used:
            if used.entry.hot_runner_kg > 0 and math.isfinite(used.log_factor):
                seen.setdefault((used.entry.tool, barrel), []).append(used.log_factor)
    return {place: fit_factor(logs, 0.0) for place, logs in seen.items()}


def log_entry(
    logged: PurgeLogged, number: int, shot_mass: float | None, hot_runner_kg: Sequence[float] = ()
) -> LogEntry:
    """A logged purge for the fit; its place in the log is its name.

    shot_mass: g a shot, where known. hot_runner_kg: of the tool it names, by barrel.
    """
    behind_it = hot_runner_kg[logged.barrel - 1] if logged.barrel <= len(hot_runner_kg) else 0.0
    return LogEntry(
        id=str(number),
        barrel=barrel_id(logged.press, logged.barrel - 1),
        old=_key(logged.from_),
        new=_key(logged.to),
        kg=logged.kg,
        shots=logged.shots,
        shot_mass_g=shot_mass,
        clean=logged.clean,
        compound=logged.compound,
        confirmed=logged.confirmed,
        tool=logged.tool or "",
        hot_runner_kg=behind_it,
    )
