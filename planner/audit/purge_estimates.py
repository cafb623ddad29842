"""The auditor's second opinion of a purge: what measured figures and the estimate come to, and their ranges (A5).

Written from RULES.md, R8: hold-ups of each pair, the log sorted into what counts and what does not, each
barrel's and each hot runner's factor.
"""

import math
from collections import defaultdict
from functools import cached_property
from statistics import median
from typing import NamedTuple

from planner.audit.case import Case, open_cavities
from planner.audit.colour_change import may_be_left, seen
from planner.campaign.purging import PurgeLogged

P90 = 1.2815515594
UNKNOWN_COLOUR = 8.0
ALIKE = -math.log(0.3)


class Figure(NamedTuple):
    """kg with P10 and P90, and whether it is measured."""

    kg: float
    low: float
    high: float
    measured: bool = False


def given_figure(kg: float) -> Figure:
    """A figure the maker gave; what it may be off by is common practice."""
    wide = math.exp(P90 * 0.25)
    return Figure(kg, kg / wide, kg * wide)


class Counted(NamedTuple):
    """A log entry that counts: the barrel's share of its kg, and that over the estimate (0: says nothing of it)."""

    entry: PurgeLogged
    kg: float
    times: float
    hot_kg: float


class Fit(NamedTuple):
    """A factor, the spread of a pair about factor times estimate, and of repeats (natural logarithms)."""

    factor: float
    spread: float
    repeat: float


class Opinion:
    """Purges of one campaign with melt alone."""

    def __init__(self, case: Case) -> None:
        self.case, self.purging = case, case.campaign.purging
        self._pairs: dict[tuple[str, str], tuple[float, bool]] = {}
        self._barrels: dict[tuple[str, int], tuple[list[Counted], Fit]] = {}

    def barrel(self, press: str, barrel: int, held: str, comes: str) -> Figure:
        """A barrel's purge, had nothing been given for the pair."""
        counted, fit = self._fit_of(press, barrel)
        logs = [math.log(one.kg) for one in counted if (one.entry.from_, one.entry.to) == (held, comes)]
        if logs:
            middle, reach = median(logs), P90 * fit.repeat * math.sqrt(1 + 1 / len(logs))
            return Figure(math.exp(middle), math.exp(middle - reach), math.exp(middle + reach), True)
        kg = self._hold_ups(held, comes)[0] * self._held(press, barrel) * fit.factor
        return Figure(kg, kg / math.exp(P90 * fit.spread), kg * math.exp(P90 * fit.spread))

    def hot_runner(self, tool: str, barrel: int, held: str, comes: str) -> Figure:
        """A hot runner's purge."""
        found = self._hot_fits.get((tool, barrel))
        kg = self._hold_ups(held, comes)[0] * self.case.campaign.tools[tool].hot_runner_kg[barrel - 1]
        if found is None:  # nobody measured it: down as far as any barrel, up to what print tells of hot runners
            return Figure(kg, kg / math.exp(P90 * math.hypot(0.4, 0.58)), kg * 7)
        kg *= found.factor
        return Figure(kg, kg / math.exp(P90 * found.spread), kg * math.exp(P90 * found.spread))

    def fit(self, press: str, barrel: int) -> Fit:
        """A barrel's factor and spread."""
        return self._fit_of(press, barrel)[1]

    def hot_fit(self, tool: str, barrel: int) -> Fit | None:
        """A hot runner's; None where nobody measured it."""
        return self._hot_fits.get((tool, barrel))

    def _held(self, press: str, barrel: int) -> float:
        return self.case.campaign.presses[press].barrels[barrel - 1].holdup_kg

    def _hold_ups(self, held: str, comes: str) -> tuple[float, bool]:
        """Hold-ups from one melt to another, and whether the colour difference alone settles them."""
        if (held, comes) not in self._pairs:
            self._pairs[held, comes] = self._of_pair(held, comes)
        return self._pairs[held, comes]

    def _of_pair(self, held: str, comes: str) -> tuple[float, bool]:
        (old_resin, old), (new_resin, new) = held.rsplit("/", 1), comes.rsplit("/", 1)
        colours, by_colour, telling = self.case.campaign.colours, 0.0, False
        if old != new:
            one = seen(colours[old]) if old in colours else None
            other = seen(colours[new]) if new in colours else None
            by_colour = UNKNOWN_COLOUR
            if one is not None and other is not None:
                left, telling = may_be_left(one, other, self._tolerance(new_resin, new))
                by_colour = -math.log(left)
        by_resin = 0.0
        if old_resin != new_resin:
            own = [c.holdups for c in self.purging.resin_changes if (c.from_, c.to) == (old_resin, new_resin)]
            by_resin = own[-1] if own else self.purging.resin_change_holdups
        return max(by_colour, by_resin, ALIKE), telling and by_colour >= by_resin

    def _tolerance(self, resin: str, colour: str) -> float:
        surfaces = self._surfaces.get((resin, colour))
        return self.purging.hidden_tolerance if surfaces == {"hidden"} else self.purging.visible_tolerance

    @cached_property
    def _surfaces(self) -> dict[tuple[str, str], set[str]]:
        """(resin, colour) -> surfaces of the parts that are moulded of it."""
        parts = self.case.campaign.parts
        found: dict[tuple[str, str], set[str]] = defaultdict(set)
        for product in self.case.campaign.products.values():
            for colourway in product.colourways.values():
                for part, colours in colourway.items():
                    for barrel, one in zip(parts[part].barrels, colours, strict=True):
                        found[barrel.resin, one].add(parts[part].surface)
        return found

    def _fit_of(self, press: str, barrel: int) -> tuple[list[Counted], Fit]:
        if (press, barrel) not in self._barrels:
            entries = [e for e in self.purging.log if (e.press, e.barrel) == (press, barrel) and not e.compound]
            sound = [one for one in (self._sound(entry) for entry in entries) if one is not None]
            everything = _fitted(sound)
            kept = [one for one in sound if one.entry.confirmed or not _far_off(one, sound, everything)]
            self._barrels[press, barrel] = kept, _fitted(kept)
        return self._barrels[press, barrel]

    @cached_property
    def _hot_fits(self) -> dict[tuple[str, int], Fit]:
        """(tool, barrel) -> the fit of its hot runner, where a log entry that counts was purged through it."""
        behind: dict[tuple[str, int], list[Counted]] = defaultdict(list)
        for place in {(entry.press, entry.barrel) for entry in self.purging.log}:
            for one in self._fit_of(*place)[0]:
                if one.hot_kg > 0 and one.times > 0 and one.entry.tool is not None:
                    behind[one.entry.tool, one.entry.barrel].append(one)
        return {place: _fitted(found) for place, found in behind.items()}

    def _sound(self, entry: PurgeLogged) -> Counted | None:
        """The entry, unless it contradicts itself, was stopped too soon or is absurdly far off the estimate."""
        by_shots = None
        if entry.shots is not None and (grams := self._grams(entry)) is not None:
            by_shots = entry.shots * grams / 1000
        kg = by_shots if entry.kg is None else entry.kg
        if kg is None or kg <= 0 or not entry.clean or entry.from_ == entry.to:
            return None
        if by_shots is not None and not 0.8 <= by_shots / kg <= 1.25:
            return None
        hot = self.case.campaign.tools[entry.tool].hot_runner_kg if entry.tool else []
        behind = hot[entry.barrel - 1] if entry.barrel <= len(hot) else 0.0
        held = self._held(entry.press, entry.barrel)
        kg *= held / (held + behind)
        hold_ups, telling = self._hold_ups(entry.from_, entry.to)
        times = kg / (hold_ups * held)
        if not 1 / 50 <= times <= 50 and not entry.confirmed:
            return None
        return Counted(entry, kg, times if telling else 0.0, behind)

    def _grams(self, entry: PurgeLogged) -> float | None:
        """g of melt a shot of the logged purge."""
        if entry.shot_g is not None or entry.tool is None:
            return entry.shot_g
        campaign, k = self.case.campaign, entry.barrel - 1
        tool = campaign.tools[entry.tool]
        parts = math.fsum(
            open_cavities(tool, part) * campaign.parts[part].barrels[k].mass_g
            for part in tool.cavities
            if k < len(campaign.parts[part].barrels)
        )
        return parts + (tool.runner_g[k] if k < len(tool.runner_g) else 0.0)


def _far_off(one: Counted, among: list[Counted], everything: Fit) -> bool:
    """Whether an entry lies 3.5 spreads and four times off the others; of more than 200 entries: off them all."""
    if not one.times or abs(math.log(one.times / everything.factor)) <= math.log(4):
        return False
    rest = everything if len(among) > 200 else _fitted([other for other in among if other is not one])
    return abs(math.log(one.times / rest.factor)) > 3.5 * rest.spread


def _fitted(counted: list[Counted]) -> Fit:
    """Huber's weights, priors: factor 1, spread 0.4; within a barrel 0.58, of repeats 0.25, worth two entries each."""
    logs = [math.log(one.times) for one in counted if one.times]
    weights, within, own, middle = [1.0] * len(logs), 0.58, 0.4, 0.0
    for _ in range(50):
        precision = 1 / 0.4**2 + sum(weights) / within**2
        own = math.sqrt(1 / precision)
        before, middle = middle, sum(w * y for w, y in zip(weights, logs, strict=True)) / within**2 / precision
        apart = [abs(y - middle) for y in logs]
        squares = sum(w * d * d for w, d in zip(weights, apart, strict=True))
        within = math.sqrt((2 * 0.58**2 + squares) / (2 + sum(weights)))
        weights = [min(1.0, 1.5 * within / max(d, 1e-12)) for d in apart]
        if abs(middle - before) < 1e-10:
            break
    groups: dict[tuple[str, str], list[float]] = defaultdict(list)
    for one in counted:
        groups[one.entry.from_, one.entry.to].append(math.log(one.kg))
    scatter = sum(sum((y - sum(ys) / len(ys)) ** 2 for y in ys) for ys in groups.values())
    repeat = math.sqrt((2 * 0.25**2 + scatter) / (2 + len(counted) - len(groups)))
    return Fit(math.exp(middle), math.hypot(within, own), repeat)
