"""What each unsure thing turns out to be in every replication, drawn once for all.

A factor is one thing that is not sure and can be ranked as a driver; noise is not ranked (which parts happen to be
scrap).
"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

import numpy as np

from planner.campaign import Campaign
from planner.campaign.common_case import uncertainty_of
from planner.campaign.uncertainty import FirstTrial, Spread, Uncertainty
from planner.promise.quantiles import quantiles
from planner.promise.random_streams import uniforms
from planner.promise.rank_correlation import ranks, unit
from planner.promise.tool_days import Tried, days_late, step_days
from planner.readiness.working_days import position
from planner.schedule.instance import Floats, Ints
from planner.settled import Thing, things
from planner.settled.things import SECTIONS, trial_id
from planner.settled.trial_money import trial_money

DAY_S = 86400
FAR_DAYS = 20_000.0
"""A tool that is there from the start comes so long before any trial."""

Days = dict[str, Floats]
MOST_REWORKS = 12
"""Trials that fail more often than this in a row are counted as this many: at a chance of 0.5, one in 4096."""


@dataclass(frozen=True)
class Factor:
    """One unsure thing. about: in words. values (replications): days, or shares of what is planned."""

    name: str
    about: str
    values: Floats
    unit: str

    @cached_property
    def ranks(self) -> Floats:
        """Ranks of the values. Kept, since each of a campaign's tiers is held against every factor."""
        return ranks(self.values)

    @cached_property
    def unit_ranks(self) -> Floats:
        """The ranks, see `unit`."""
        return unit(self.ranks)


@dataclass(frozen=True)
class FactorDraws:
    """All factors by what they act on. Days are calendar days, shares are of what is planned, scrap is of parts."""

    replications: int
    seed: int
    common: bool
    ready_days: dict[str, Floats]
    cycle_share: dict[str, Floats]
    scrap_share: dict[str, Floats]
    efficiency_share: dict[str, Floats]
    piece_days: dict[str, Floats]
    resin_days: dict[str, Floats]
    colour_days: dict[str, Floats]
    mount_share: dict[str, Floats]
    stops_share: dict[str, Floats]
    purge_share: dict[str, Floats]
    bench_share: dict[str, Floats]
    carrier_days: Floats | None
    factors: list[Factor]
    turned: dict[str, Ints]
    """Thing that is settled on a day -> number of how it turns out in every replication."""
    extra_cost: Floats
    """Money that a replication costs on top by how things turn out."""


def draw(campaign: Campaign, replications: int, seed: int) -> FactorDraws:
    """Draw what is not sure for that many replications. With the same seed each draws the same in every variant."""
    unsure, common = uncertainty_of(campaign)
    factors: list[Factor] = []

    def one(name: str, about: str, spread: Spread, unit: str, least: float, most: float) -> Floats:
        values = np.clip(quantiles(spread, uniforms(seed, name, replications)), least, most)
        factors.append(Factor(name, about, values, unit))
        return values

    ready, cycle, scrap, mount = {}, {}, {}, {}
    turned: dict[str, Ints] = {}
    tried: Tried = {}
    extra = np.zeros(replications)
    for tool, said in sorted(unsure.tools.items()):
        days = np.zeros(replications)
        if said.ready_days is not None:
            days += one(f"tool/{tool}/ready", f"when tool {tool} is ready", said.ready_days, "days", -3650, 3650)
        if said.first_trial is not None and said.first_trial.success_chance < 1:
            rework, failed = reworks(said.first_trial, tool, replications, seed)
            factors.append(Factor(f"tool/{tool}/trials", f"rework after trials of tool {tool}", rework, "days"))
            on_a_day = said.first_trial.known
            if on_a_day is not None:
                turned[trial_id(tool)] = (failed > 0).astype(np.int64)
            if on_a_day is not None and campaign.tools[tool].until_ready:
                tried[tool] = on_a_day, rework
            elif on_a_day is not None:  # what comes late is tried late, what comes sooner is not tried sooner
                spare = _after_trial(campaign, tool, on_a_day)
                days = np.maximum(0.0, days + spare) - max(0.0, spare) + rework
            else:
                days += rework
            extra += failed * trial_money(campaign, said.first_trial)
        if said.ready_days is not None or said.first_trial is not None:
            ready[tool] = days
        if said.cycle_share is not None:
            cycle[tool] = one(f"tool/{tool}/cycle", f"the cycle of tool {tool}", said.cycle_share, "share", 0.05, 20)
        if said.scrap_share is not None:
            scrap[tool] = one(f"tool/{tool}/scrap", f"scrap of tool {tool}", said.scrap_share, "share", 0, 0.95)
        if said.mount_share is not None:
            mount[tool] = one(f"tool/{tool}/mount", f"mounting tool {tool}", said.mount_share, "share", 0.05, 20)
    if any(tool.until_ready for tool in campaign.tools.values()):
        steps = step_days(campaign, unsure.step_share, replications, seed)
        factors += [Factor(f"tool/{of[0]}/step/{of[1]}", words, days, "days") for of, (words, days) in steps.items()]
        ready |= days_late(campaign, steps, ready, tried, replications)
    efficiency = {
        press: one(f"press/{press}/efficiency", f"the efficiency of press {press}", spread, "share", 0.05, 20)
        for press, spread in sorted(unsure.efficiency_share.items())
    }
    stops = {
        press: one(f"press/{press}/stops", f"breakdowns of press {press}", spread, "share", 0, 0.9)
        for press, spread in sorted(unsure.stops_share.items())
    }
    purge = {
        press: one(f"press/{press}/purges", f"how long press {press} purges", spread, "share", 0, 20)
        for press, spread in sorted(unsure.purge_share.items())
    }
    bench: dict[str, Floats] = {
        name: one(f"bench/{name}", f"how fast the {name} bench works", spread, "share", 0.05, 20)
        for name, spread in sorted(unsure.bench_share.items())
    }
    carrier = None
    if unsure.carrier_days is not None:
        carrier = one("carrier", "when the carrier comes", unsure.carrier_days, "days", 0, 365)
    late_days: dict[str, dict[str, Floats]] = {}
    for kind in ("piece", "resin", "colour"):
        late = {}
        for name, spread in sorted(getattr(unsure, f"{kind}_days").items()):
            about = f"deliveries of {'masterbatch ' if kind == 'colour' else ''}{name}"
            late[name] = one(f"{kind}/{name}", about, spread, "days", -3650, 3650)
        late_days[kind] = late
    for thing in things(campaign):
        if thing.id.startswith("settled/"):
            turned[thing.id] = _settle(unsure, thing, replications, seed, (ready, late_days), factors)
            extra += np.array([turn.cost for turn in thing.turns])[turned[thing.id]]
    return FactorDraws(
        replications, seed, common, ready, cycle, scrap, efficiency,
        late_days["piece"], late_days["resin"], late_days["colour"],
        mount, stops, purge, bench, carrier, factors, turned, extra,
    )  # fmt: skip


def _after_trial(campaign: Campaign, tool: str, known: date | datetime) -> float:
    """Days from when it is known how a tool's trial went to the day from which the maker says the tool is ready."""
    at, first = campaign.tools[tool].ready, campaign.start.date()
    return -FAR_DAYS if at is None else position(at, first) - position(known, first)


def _settle(
    unsure: Uncertainty, thing: Thing, replications: int, seed: int, late: tuple[Days, dict[str, Days]],
    factors: list[Factor],
) -> Ints:  # fmt: skip
    """How a thing turns out in each replication; what it makes later is added to the days of tools and deliveries."""
    steps = np.cumsum([turn.chance for turn in thing.turns])
    found = np.searchsorted(steps[:-1] / steps[-1], uniforms(seed, thing.id, replications), side="right").astype(
        np.int64
    )
    said = unsure.settled[thing.id.partition("/")[2]].outcomes
    factors.append(Factor(thing.id, f"how {thing.about} turns out", found.astype(np.float64), "outcome"))
    for number, turn in enumerate(thing.turns):
        outcome = said[turn.id]
        for kind, section in SECTIONS.items():
            days_of = late[0] if kind == "tool" else late[1][kind]
            for name, spread in getattr(outcome, section).items():
                chance = uniforms(seed, f"{thing.id}/{turn.id}/{kind}/{name}", replications)
                days = np.maximum(0.0, quantiles(spread, chance))
                days_of[name] = days_of.get(name, np.zeros(replications)) + np.where(found == number, days, 0.0)
    return found


def reworks(trial: FirstTrial, tool: str, replications: int, seed: int) -> tuple[Floats, Ints]:
    """Days lost to rework until a trial is good, and how many fail: tried again after each, with the same chance, until
    it works or has failed as often as it can."""
    days, failed = np.zeros(replications), np.zeros(replications, dtype=np.int64)
    failing = np.ones(replications, dtype=np.bool_)
    for attempt in range(1, (trial.most_failures or MOST_REWORKS) + 1):
        failing &= uniforms(seed, f"tool/{tool}/trial {attempt}", replications) > trial.success_chance
        if not failing.any():
            break
        lost = quantiles(trial.rework_days, uniforms(seed, f"tool/{tool}/rework {attempt}", replications))
        days += np.where(failing, np.maximum(0.0, lost), 0.0)
        failed += failing
    return days, failed
