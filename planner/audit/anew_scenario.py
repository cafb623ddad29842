"""What every unsure thing turns out to be in one scenario, drawn anew (A13).

Numbers come from the seed and a thing's name (`a13_drawn`), values from its spread: a triangle and a fitted law
exactly, a beta from its density summed up over 8192 places that lie closer at the ends (RULES.md, S4.4).
"""

import math
from bisect import bisect_left
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import lru_cache
from itertools import accumulate
from statistics import NormalDist

from planner.audit.a13_drawn import failures, outcome_of, uniform
from planner.audit.case import Case
from planner.audit.figures import exact
from planner.audit.tool_steps import HAIR, since, steps_of, tried
from planner.campaign.tool_steps import ToolStep
from planner.campaign.uncertainty import FirstTrial, Spread, ThreePoint

PLACES = 8192
DAY = 86400
FAR = 20_000.0
"""Days before any trial from which a tool counts as there where nobody says when it is ready."""


@dataclass
class Scenario:
    """One scenario. ready, supply, piece: whole seconds by which tools, materials and pieces come later; carrier: days.
    All else are shares of what is planned; scrap is of parts."""

    number: int
    seed: int
    ready: dict[str, int] = field(default_factory=dict)
    supply: dict[tuple[str, str], int] = field(default_factory=dict)
    piece: dict[str, int] = field(default_factory=dict)
    cycle: dict[str, float] = field(default_factory=dict)
    press: dict[str, float] = field(default_factory=dict)
    purge: dict[str, float] = field(default_factory=dict)
    mount: dict[str, float] = field(default_factory=dict)
    scrap: dict[str, float] = field(default_factory=dict)
    bench: dict[str, float] = field(default_factory=dict)
    carrier: int = 0

    @property
    def rated(self) -> bool:
        """Whether any shot may take another time than planned."""
        return bool(self.cycle or self.press)


def drawn(case: Case, seed: int, k: int) -> Scenario:
    """Scenario k (from 0) of a seed."""
    unsure = case.campaign.uncertainty
    assert unsure is not None
    scenario = Scenario(k, seed)

    def one(name: str, spread: Spread, least: float, most: float) -> float:
        return _held(spread, uniform(seed, name, k), least, most)

    for tool, said in unsure.tools.items():
        if said.cycle_share is not None:
            scenario.cycle[tool] = one(f"tool/{tool}/cycle", said.cycle_share, 0.05, 20)
        if said.scrap_share is not None:
            scenario.scrap[tool] = one(f"tool/{tool}/scrap", said.scrap_share, 0, 0.95)
        if said.mount_share is not None:
            scenario.mount[tool] = one(f"tool/{tool}/mount", said.mount_share, 0.05, 20)
    for press, spread in unsure.efficiency_share.items():
        scenario.press[press] = one(f"press/{press}/efficiency", spread, 0.05, 20)
    for press, spread in unsure.stops_share.items():
        scenario.press[press] = scenario.press.get(press, 1.0) * (1 - one(f"press/{press}/stops", spread, 0, 0.9))
    for press, spread in unsure.purge_share.items():
        scenario.purge[press] = one(f"press/{press}/purges", spread, 0, 20)
    for bench, spread in unsure.bench_share.items():
        scenario.bench[bench] = one(f"bench/{bench}", spread, 0.05, 20)
    if unsure.carrier_days is not None:
        scenario.carrier = round(one("carrier", unsure.carrier_days, 0, 365))
    scenario.ready = ready_late(case, seed, k)
    days: dict[tuple[str, str], float] = {}
    for kind, section in (("piece", unsure.piece_days), ("resin", unsure.resin_days), ("colour", unsure.colour_days)):
        for name, spread in section.items():
            days[kind, name] = one(f"{kind}/{name}", spread, -3650, 3650)
    for (kind, name), late in _settled(case, seed, k).items():
        if kind != "tool":
            days[kind, name] = days.get((kind, name), 0.0) + late
    for (kind, name), late in days.items():
        seconds = round(late * DAY)
        if kind == "piece":
            scenario.piece[name] = seconds
        else:
            scenario.supply["masterbatch" if kind == "colour" else "resin", name] = seconds
    return scenario


def ready_late(case: Case, seed: int, k: int) -> dict[str, int]:
    """Whole seconds by which tools come later in scenario k of a seed."""
    unsure = case.campaign.uncertainty
    assert unsure is not None
    days: dict[str, float] = {}
    reworks: dict[str, float] = {}
    for tool, said in unsure.tools.items():
        if said.ready_days is None and said.first_trial is None:
            continue
        chance = uniform(seed, f"tool/{tool}/ready", k)
        late = 0.0 if said.ready_days is None else _held(said.ready_days, chance, -3650, 3650)
        if said.first_trial is not None and said.first_trial.success_chance < 1:
            rework = _rework(said.first_trial, tool, seed, k)
            if said.first_trial.on is not None and case.campaign.tools[tool].until_ready:
                reworks[tool] = rework
            else:
                late = _tried(case, tool, said.first_trial, late, rework)
        days[tool] = late
    days |= _steps_late(case, seed, k, days, reworks)
    for (kind, name), late in _settled(case, seed, k).items():
        if kind == "tool":
            days[name] = days.get(name, 0.0) + late
    return {name: round(late * DAY) for name, late in days.items()}


def _held(spread: Spread, chance: float, least: float, most: float) -> float:
    return min(most, max(least, quantile(spread, chance)))


def _settled(case: Case, seed: int, k: int) -> dict[tuple[str, str], float]:
    """(kind, name) -> days by which it comes later as things turn out."""
    unsure = case.campaign.uncertainty
    assert unsure is not None
    found: dict[tuple[str, str], float] = {}
    for name, thing in unsure.settled.items():
        turned = list(thing.outcomes)[outcome_of(list(thing.outcomes.values()), seed, f"settled/{name}", k)]
        outcome = thing.outcomes[turned]
        later = {"tool": outcome.tools, "piece": outcome.pieces, "resin": outcome.resins, "colour": outcome.colours}
        for kind, spreads in later.items():
            for of, spread in spreads.items():
                lost = quantile(spread, uniform(seed, f"settled/{name}/{turned}/{kind}/{of}", k))
                found[kind, of] = found.get((kind, of), 0.0) + max(0.0, lost)
    return found


def _rework(trial: FirstTrial, tool: str, seed: int, k: int) -> float:
    """Days lost until a trial is good."""
    return sum(
        max(0.0, quantile(trial.rework_days, uniform(seed, f"tool/{tool}/rework {attempt}", k)))
        for attempt in range(1, failures(trial, tool, seed, k) + 1)
    )


def _tried(case: Case, tool: str, trial: FirstTrial, late: float, rework: float) -> float:
    """Days by which a tool comes later: one that comes late is tried late, one that comes sooner not sooner."""
    if trial.on is None:
        return late + rework
    at = case.campaign.tools[tool].ready
    known = _position(trial.on) + (0 if isinstance(trial.on, datetime) else 1) + trial.approval_days
    spare = -FAR if at is None else _position(at) - known
    return max(0.0, late + spare) - max(0.0, spare) + rework


def _steps_late(case: Case, seed: int, k: int, said: dict[str, float], reworks: dict[str, float]) -> dict[str, float]:
    """Days by which tools with steps left on them come later (T4). said: days after what the maker says of a tool;
    reworks: days after it is known how a trial on a day went."""
    campaign, unsure = case.campaign, case.campaign.uncertainty
    assert unsure is not None
    takes = {
        (tool, step_id): exact(min(3650.0, max(0.0, took)))
        for tool, one in campaign.tools.items()
        for step_id, step in one.until_ready.items()
        if step.done is None
        and (took := _took(step, unsure.step_share, uniform(seed, f"tool/{tool}/step/{step_id}", k))) is not None
    }
    found: dict[str, float] = {}
    laid = steps_of(campaign, takes) if any(one.until_ready for one in campaign.tools.values()) else {}
    for tool, one in campaign.tools.items():
        if all(step.done is not None for step in one.until_ready.values()):
            continue
        last = max(laid[tool, step_id].end for step_id in one.until_ready)
        at = float(-((-last + HAIR) // 1))
        late = said.get(tool, 0.0)
        at = at + late if one.ready is None else max(at, _position(one.ready) + late)
        known = tried(campaign, tool) if tool in reworks else None
        if known is not None:
            at = max(at, _position(known)) + reworks[tool]
        planned = case.ready[tool]
        assert planned is not None
        found[tool] = at - _position(planned)
    return found


def _took(step: ToolStep, share: Spread | None, chance: float) -> float | None:
    """Days that a step takes; None: as many as are likely."""
    if isinstance(step.days, ThreePoint):
        return quantile(step.days, chance)
    return step.days * quantile(share, chance) if share is not None and step.days > 0 else None


def _position(moment: date | datetime) -> float:
    return float(since(moment))


def normal(chance: float) -> float:
    """The standard normal distribution's quantile."""
    return NormalDist().inv_cdf(chance)


def quantile(spread: Spread, chance: float) -> float:
    """The value below which the spread stays with that chance."""
    if not isinstance(spread, ThreePoint):
        if spread.shape == "normal":
            return spread.mean + spread.sd * normal(chance)
        variance = math.log1p((spread.sd / spread.mean) ** 2)
        return math.exp(math.log(spread.mean) - variance / 2 + math.sqrt(variance) * normal(chance))
    width = spread.late - spread.early
    if width <= 0:
        return float(spread.likely)
    mode = (spread.likely - spread.early) / width
    if spread.shape == "triangular":
        below = chance < mode
        return spread.early + width * (math.sqrt(chance * mode) if below else 1 - math.sqrt((1 - chance) * (1 - mode)))
    both = 4.0
    if spread.shape == "pert":  # mean (a + 4 m + b) / 6, deviation (b - a) / 6
        mean = (1 + 4 * mode) / 6
        both = 36 * mean * (1 - mean) - 1
        return spread.early + width * _beta(mean * both, (1 - mean) * both, chance)
    return spread.early + width * _beta(1 + both * mode, 1 + both * (1 - mode), chance)


def _beta(alpha: float, beta: float, chance: float) -> float:
    reached = _reached(alpha, beta)
    n = max(1, bisect_left(reached, chance))
    low, high = reached[n - 1], reached[n]
    left, right = _edge(n - 1), _edge(n)
    return left + (right - left) * (chance - low) / (high - low) if high > low else left


def _edge(n: int) -> float:
    return (1 - math.cos(math.pi * n / PLACES)) / 2


@lru_cache(maxsize=256)
def _reached(alpha: float, beta: float) -> list[float]:
    """The chance to stay below each of the edges between places."""
    logs = []
    for place in range(PLACES):
        turn = math.pi * (place + 0.5) / PLACES
        x = (1 - math.cos(turn)) / 2
        logs.append((alpha - 1) * math.log(x) + (beta - 1) * math.log1p(-x) + math.log(math.sin(turn)))
    most = max(logs)
    sums = list(accumulate((math.exp(one - most) for one in logs), initial=0.0))
    return [one / sums[-1] for one in sums]
