"""What knowing is worth (RULES.md, S9): what it saves on average to know today how one unsure thing turns out.

The expected value of partial perfect information (EVPPI): scenarios are put into classes by how the thing turns out
(works or does not; sooner, about as likely, later), a plan is sought for each class while all else stays unsure, and on
scenarios that had no part in seeking, what the plan of the right class saves against the plan without classes is
averaged. Both are sought with the same effort from the plan as it stands, so that mere searching on counts for nothing.
Fewer classes than there are outcomes, and plans that are not the best, make it a cautious figure.
"""

from dataclasses import dataclass

import numpy as np

from planner.campaign import Campaign
from planner.campaign.planning import Policy
from planner.campaign.uncertainty import ThreePoint
from planner.expected.budgets import load_of, most_planned
from planner.expected.judged import moves_by
from planner.expected.scenario_sets import seed_of
from planner.plan.document import RunPlan
from planner.plan.wishes import as_kept
from planner.promise.rank_correlation import ranks, spearman
from planner.promise.replications import written
from planner.promise.scenarios import Factor, FactorDraws, draw
from planner.schedule.encode import compile_campaign
from planner.schedule.expected.chain import MeanChain
from planner.schedule.expected.replicate import replicated
from planner.schedule.expected.scenarios import Scenarios
from planner.schedule.instance import Floats, Ints, packed_instance
from planner.schedule.solution import Solution, objective_of
from planner.schedule.timing import LAST, timing_for
from planner.settled import things as things_settled
from planner.settled import turned_out
from planner.settled.as_read import as_read
from planner.settled.branches import through_branches

SOUGHT_BY, JUDGED_BY = 144, 600
"""Scenarios plans are sought by, and those on which they are judged."""

CLASSES = 3
RARE = 0.1
"""Where a thing mostly turns out as likely (a trial that works), it has two classes if each has this share."""

MOST_THINGS = 10
SEEN = 2.5
"""Things are looked into whose rank correlation with the cost is so many standard errors, the first few of them."""

LOAD = 12_000_000
LEAST_TIMINGS, MOST_TIMINGS = 1_500, 25_000
"""Effort for each class: lots, jobs, batches and needs looked at, and timings."""

NOISE = 2.0
"""A worth counts from so many standard errors on: less is not ranked."""


@dataclass(frozen=True)
class Known:
    """What knowing one thing is worth, money on average. outcomes: its classes in words, with their shares.

    as_likely: mean cost if it were sure to be as planned; saves: against the mean now, with its error.
    """

    factor: str
    about: str
    worth: float
    error: float
    outcomes: list[tuple[str, float]]
    as_likely: float
    saves: float
    saves_error: float


class Subject:
    """A plan, followed as its document says, and the scenarios it is asked about."""

    def __init__(self, campaign: Campaign, plan: RunPlan) -> None:
        inst, self.names = compile_campaign(as_kept(campaign, plan))
        self.inst, self.solution, self.branched = as_read(inst, self.names, plan)
        self.campaign = campaign
        mean = plan.outcome.expected
        self.policy: Policy = "as planned" if mean is None else mean.policy
        self.hash = plan.outcome.model_hash

    def drawn(self, purpose: str, number: int, campaign: Campaign | None = None) -> FactorDraws:
        """What turns out in so many scenarios; a changed campaign meets the same draws in all that it leaves unsure."""
        return draw(campaign or self.campaign, number, seed_of(self.hash, purpose))

    def scenarios(self, drawn: FactorDraws) -> Scenarios:
        return written(self.inst, self.names, drawn)

    def costs(self, solution: Solution, scenarios: Scenarios) -> Floats:
        return replicated(self.inst, solution, scenarios, self.policy).cost

    def either_way(self, name: str, drawn: FactorDraws, scenarios: Scenarios) -> Floats | None:
        """What the plan costs with its branches, if they are of that thing."""
        one = self.branched
        if one is None or one.same or name not in (one.thing.id, f"{one.thing.id}s"):
            return None
        groups = np.zeros(self.inst.batch_work.size, dtype=np.int64)
        return through_branches(one, drawn.turned[one.thing.id], scenarios, self.policy, groups).cost


def things(subject: Subject) -> list[str]:
    """Names of what moves the cost most, by rank correlation; the rest cannot be told from chance."""
    drawn = subject.drawn("knowing: judged", JUDGED_BY)
    cost = subject.costs(subject.solution, subject.scenarios(drawn))
    found = []
    for factor in drawn.factors:
        seen = abs(spearman(factor.ranks, ranks(cost))) * np.sqrt(cost.size)
        if seen >= SEEN:
            found.append((seen, factor.name))
    found.sort(key=lambda one: -one[0])
    return [name for _, name in found[:MOST_THINGS]]


def known(subject: Subject, name: str) -> Known:
    """What knowing one thing today is worth."""
    sought, judged = (
        subject.drawn(f"knowing: {what}", n) for what, n in (("sought", SOUGHT_BY), ("judged", JUDGED_BY))
    )
    factor = _named(sought, name)
    edges, words = _classes(factor)
    own, theirs = (np.searchsorted(edges, _named(drawn, name).values, side="left") for drawn in (sought, judged))
    seek, judge = subject.scenarios(sought), subject.scenarios(judged)
    common = _sought(subject, seek, np.arange(SOUGHT_BY))
    before = subject.costs(common, judge)
    either_way = subject.either_way(name, judged, judge)
    if either_way is not None and either_way.mean() < before.mean():
        before = either_way  # the plan goes by how it turns out already, only later
    after = before.copy()
    for n in range(len(words)):
        there = theirs == n
        if there.any() and (own == n).any():
            after[there] = subject.costs(_sought(subject, seek, np.flatnonzero(own == n)), judge)[there]
    gain = (before - after)[np.isfinite(before) & np.isfinite(after)]
    likely = subject.costs(
        subject.solution,
        subject.scenarios(subject.drawn("knowing: judged", JUDGED_BY, settled(subject.campaign, name))),
    )
    now = subject.costs(subject.solution, judge)
    saved = (now - likely)[np.isfinite(now) & np.isfinite(likely)]
    return Known(
        name,
        factor.about,
        float(gain.mean()),
        _error(gain),
        [(word, float((theirs == n).mean())) for n, word in enumerate(words)],
        float(likely[np.isfinite(likely)].mean()),
        float(saved.mean()),
        _error(saved),
    )


@dataclass(frozen=True)
class Sure:
    """The plan as it stands, were one thing sure to turn out at a stated value (days, or a share of what is planned).

    mean: cost on average; saves: against the mean now, with its error.
    """

    factor: str
    about: str
    value: float
    unit: str
    mean: float
    saves: float
    saves_error: float


def sure_at(subject: Subject, name: str, value: float) -> Sure:
    """What a sooner delivery, a second source or a proven tool would be worth: all else stays as unsure as it is."""
    drawn = subject.drawn("knowing: judged", JUDGED_BY)
    now = subject.costs(subject.solution, subject.scenarios(drawn))
    stated = certain_at(subject.campaign, name, value)
    then = subject.costs(subject.solution, subject.scenarios(subject.drawn("knowing: judged", JUDGED_BY, stated)))
    saved = (now - then)[np.isfinite(now) & np.isfinite(then)]
    factor = _named(drawn, name)
    mean = float(then[np.isfinite(then)].mean()) if np.isfinite(then).any() else float("inf")
    return Sure(name, factor.about, value, factor.unit, mean, float(saved.mean()) if saved.size else 0.0, _error(saved))


def certain_at(campaign: Campaign, name: str, value: float) -> Campaign:
    """The campaign in which one thing is sure to turn out at that value."""
    assert campaign.uncertainty is not None
    unsure = campaign.uncertainty
    just = ThreePoint(early=value, likely=value, late=value)
    kind, _, rest = name.partition("/")
    section = f"{kind}_days"
    if kind == "settled":
        ways = things_settled(campaign)
        thing = next(one for one in ways if one.id == name)
        return turned_out(campaign, thing, thing.turns[min(len(thing.turns) - 1, max(0, round(value)))])
    if kind == "carrier":
        unsure = unsure.model_copy(update={"carrier_days": just})
    elif kind == "tool" and "/step/" in rest:
        tool, _, step_id = rest.partition("/step/")
        steps = campaign.tools[tool].until_ready
        told = steps | {step_id: steps[step_id].model_copy(update={"days": max(0.0, value)})}
        tools = campaign.tools | {tool: campaign.tools[tool].model_copy(update={"until_ready": told})}
        return campaign.model_copy(update={"tools": tools})
    elif kind == "tool":
        tool, _, what = rest.rpartition("/")
        said = unsure.tools[tool]
        if what == "trials":
            assert said.first_trial is not None
            days = ThreePoint(early=max(0.0, value), likely=max(0.0, value), late=max(0.0, value))
            sure = {"success_chance": 1e-12, "rework_days": days, "most_failures": 1}
            update: dict[str, object] = {"first_trial": said.first_trial.model_copy(update=sure)}
        else:
            update = {"ready_days" if what == "ready" else f"{what}_share": just}
        unsure = unsure.model_copy(update={"tools": unsure.tools | {tool: said.model_copy(update=update)}})
    else:
        if kind == "press":
            rest, _, what = rest.rpartition("/")
            section = "purge_share" if what == "purges" else f"{what}_share"
        elif kind == "bench":
            section = "bench_share"
        unsure = unsure.model_copy(update={section: getattr(unsure, section) | {rest: just}})
    return campaign.model_copy(update={"uncertainty": unsure})


def settled(campaign: Campaign, name: str) -> Campaign:
    """The campaign in which one thing is sure to be as likely: nothing unsure is said of it."""
    assert campaign.uncertainty is not None
    unsure = campaign.uncertainty
    kind, _, rest = name.partition("/")
    if kind == "settled":
        left = {one: said for one, said in unsure.settled.items() if one != rest}
        return campaign.model_copy(update={"uncertainty": unsure.model_copy(update={"settled": left})})
    if kind == "carrier":
        unsure = unsure.model_copy(update={"carrier_days": None})
    elif kind == "tool":
        tool, _, what = rest.rpartition("/")
        field = {"trials": "first_trial", "ready": "ready_days"}.get(what, f"{what}_share")
        said = unsure.tools[tool].model_copy(update={field: None})
        unsure = unsure.model_copy(update={"tools": unsure.tools | {tool: said}})
    else:
        if kind == "press":
            rest, _, what = rest.rpartition("/")
            section = "purge_share" if what == "purges" else f"{what}_share"
        else:
            section = "bench_share" if kind == "bench" else f"{kind}_days"
        spreads = {one: spread for one, spread in getattr(unsure, section).items() if one != rest}
        unsure = unsure.model_copy(update={section: spreads})
    return campaign.model_copy(update={"uncertainty": unsure})


def _named(drawn: FactorDraws, name: str) -> Factor:
    return next(factor for factor in drawn.factors if factor.name == name)


def _classes(factor: Factor) -> tuple[Floats, list[str]]:
    """Upper edges of all classes but the last, and their words."""
    values, least = factor.values, factor.values.min()
    if RARE <= (values == least).mean() <= 1 - RARE:  # a trial: it works, or it costs some days
        trial = ["works at once", "must be reworked"]
        return np.array([least]), trial if factor.name.endswith("/trials") else [
            "as little as can be",
            "more than that",
        ]
    edges = np.unique(np.quantile(values, [n / CLASSES for n in range(1, CLASSES)]))
    low, middling, high = ("early", "in between", "late") if factor.unit == "days" else ("low", "in between", "high")
    return edges, [low, high] if edges.size == 1 else [low, middling, high]


def _sought(subject: Subject, seek: Scenarios, own: Ints) -> Solution:
    """The plan that costs least on average over some of the scenarios, from the plan as it stands on."""
    inst = subject.inst
    timing = timing_for(inst)
    value = objective_of(packed_instance(inst), subject.solution, timing)
    timings = max(LEAST_TIMINGS, min(MOST_TIMINGS, LOAD // load_of(inst)))
    most = most_planned(value)
    chain = MeanChain(
        inst, subject.solution, seek.rows(own), most, float(timing.totals[LAST]), 1, moves_by(subject.policy)
    )
    chain.go_on(timings, 1e-4 * abs(value), 3e-6 * abs(value))
    return chain.best


def _error(values: Floats) -> float:
    return float(values.std(ddof=1) / np.sqrt(values.size)) if values.size > 1 else 0.0
