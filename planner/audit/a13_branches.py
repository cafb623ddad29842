"""A13: a plan's branches are equal until it is known how the thing turns out, and nobody does what only a branch knows.

Worked out anew from the two documents: which day that is, which runs and batches begin before it, what comes later in
each branch, and what the branches cost in the scenarios that are stated.
"""

from collections import Counter
from collections.abc import Iterable
from datetime import date, datetime, timedelta
from itertools import pairwise
from math import ceil, fsum, sqrt
from typing import NamedTuple
from zoneinfo import ZoneInfo

from planner.audit import a13_votes
from planner.audit.a13_drawn import dearer, trial_takes
from planner.audit.carriers import days_late
from planner.audit.case import Case
from planner.audit.figures import MONEY, same
from planner.audit.findings import Findings
from planner.audit.tool_steps import ready_days
from planner.campaign import Campaign
from planner.campaign.uncertainty import Recipe, Spread, ThreePoint
from planner.plan.document import Branch, Branches, BranchRun, Expected

Way = tuple[str, float]
"""An outcome's id and its chance."""


class Open(NamedTuple):
    """What the campaign says of the thing. known: wall clock. ways: its outcomes in order. late: of each outcome, by
    how many days tools likely come later, and pieces, resins and colours by kind. costs, recipes: what each costs on
    top, and what takes the place of colours."""

    known: date | datetime
    ways: list[Way]
    late: list[dict[tuple[str, str], int]]
    costs: list[float]
    recipes: list[dict[str, Recipe]]


def check(case: Case, said: Expected, notes: Findings) -> None:
    """Look at the branches of the plan, if it has any."""
    told = said.branches
    if told is None:
        return
    found = _open(case.campaign, told.thing)
    if found is None:
        notes.fault(f"the campaign settles nothing on a known day that is called `{told.thing}`")
        return
    zone = ZoneInfo(case.campaign.time_zone)
    known = _moment(found.known, zone)
    notes.expect(known == told.known, f"{told.about} is known from {known:%d %b %Y %H:%M} on, not from {told.known}")
    ways = [(one.id, one.chance) for one in told.branches]
    notes.expect(
        [one for one, _ in ways] == [one for one, _ in found.ways]
        and all(same(a[1], b[1], 1e-9) for a, b in zip(ways, found.ways, strict=False)),
        f"the branches are {ways}, the campaign says {found.ways}",
    )
    _costs(said, told, notes)
    _equal(told, known, notes)
    a13_votes.check(case, told, known, notes)
    _first(case, told, notes)
    for branch, cost, recipes in zip(told.branches, found.costs, found.recipes, strict=False):
        _on_top(case, branch, cost, recipes, notes)
    for branch, late in zip(told.branches, found.late, strict=False):
        _carried_out(case, branch, notes)
        _tiers(case, branch, notes)
        ready = ready_days(case.campaign)
        for (kind, name), days in late.items():
            if kind == "tool":
                at = ready[name]
                assert at is not None
                _not_before(branch, name, _moment(at + timedelta(days=days), zone), notes)


def _open(campaign: Campaign, thing: str) -> Open | None:
    unsure = campaign.uncertainty
    kind, _, name = thing.partition("/")
    if unsure is None:
        return None
    if kind == "settled" and name in unsure.settled:
        one = unsure.settled[name]
        late = []
        for outcome in one.outcomes.values():
            named = {"tool": outcome.tools, "piece": outcome.pieces, "resin": outcome.resins, "colour": outcome.colours}
            late.append({(what, of): _likely(spread) for what, by in named.items() for of, spread in by.items()})
        ways, own = [(n, o.chance) for n, o in one.outcomes.items()], one.outcomes.values()
        return Open(_day_after(one.on), ways, late, [o.cost for o in own], [o.recipes for o in own])
    tool = name.removesuffix("/trial")
    said = unsure.tools.get(tool)
    trial = said.first_trial if said is not None else None
    if kind != "tool" or trial is None or trial.on is None or name == tool:
        return None
    known = _day_after(trial.on) + timedelta(days=trial.approval_days)
    ways = [("works", trial.success_chance), ("does-not-work", 1 - trial.success_chance)]
    return Open(
        known, ways, [{}, {("tool", tool): _likely(trial.rework_days)}], [0.0, trial_takes(campaign, trial)], [{}, {}]
    )


def known_at(case: Case, thing: str) -> int:
    """UTC second from which it is known how a thing turned out; the campaign's start where it settles no such thing."""
    found = _open(case.campaign, thing)
    return case.start if found is None else case.clock.at(found.known)


def likely_later(campaign: Campaign, thing: str, way: str) -> dict[tuple[str, str], int]:
    """By how many days things likely come later, by kind and name, where a thing turns out so."""
    found = _open(campaign, thing)
    ids = [] if found is None else [one for one, _ in found.ways]
    return {} if found is None or way not in ids else found.late[ids.index(way)]


def _day_after(on: date | datetime) -> date | datetime:
    return on if isinstance(on, datetime) else on + timedelta(days=1)


def _likely(spread: Spread) -> int:
    return max(0, ceil((spread.likely if isinstance(spread, ThreePoint) else spread.mean) - 1e-9))


def _moment(on: date | datetime, zone: ZoneInfo) -> datetime:
    at = on if isinstance(on, datetime) else datetime(on.year, on.month, on.day)
    return at.replace(tzinfo=zone)


def _costs(said: Expected, told: Branches, notes: Findings) -> None:
    if not notes.expect(
        len(told.turned) == said.replications and set(told.turned) <= set(range(len(told.branches))),
        "not every scenario has its branch",
    ):
        return
    for n, branch in enumerate(told.branches):
        own = [cost for cost, at in zip(said.costs, told.turned, strict=False) if at == n]
        done = [cost for cost in own if cost is not None]
        notes.expect(
            branch.scenarios == len(own),
            f"`{branch.words}`: {len(own)} scenarios turn out so, {branch.scenarios} are said",
        )
        if not done or branch.mean is None:
            notes.expect(not done and branch.mean is None, f"`{branch.words}`: a mean of no scenarios, or none of some")
            continue
        mean = fsum(done) / len(done)
        error = sqrt(fsum((cost - mean) ** 2 for cost in done) / (len(done) - 1) / len(done)) if len(done) > 1 else 0.0
        notes.expect(
            same(branch.mean, mean, MONEY) and same(branch.standard_error, error, MONEY),
            f"`{branch.words}` costs {mean:.2f} on average with an error of {error:.2f}, said are {branch.mean:.2f} "
            f"and {branch.standard_error:.2f}",
        )
    gain = told.plain_mean - said.mean
    notes.expect(same(told.worth, gain, MONEY), f"branches save {gain:.2f} on average, said is {told.worth:.2f}")


def _on_top(case: Case, branch: Branch, cost: float, recipes: dict[str, Recipe], notes: Findings) -> None:
    """What an outcome costs whatever is done: its cost, and what the melt of all shots costs more with its recipes."""
    ours = cost + dearer(case, recipes)
    notes.expect(
        same(branch.on_top, ours, MONEY), f"`{branch.words}` costs {ours:.2f} on top, said is {branch.on_top:.2f}"
    )
    notes.expect(
        len(branch.recipes) == len(recipes),
        f"`{branch.words}` has {len(recipes)} other recipes, {len(branch.recipes)} are said",
    )


def _equal(told: Branches, known: datetime, notes: Findings) -> None:
    """What begins before the outcome is known is common, and the same in every branch."""
    for branch in told.branches:
        for run in branch.runs:
            notes.expect(
                run.common or run.begin >= known,
                f"`{branch.words}`: {_name(run)} begins on {run.begin:%d %b %H:%M}, before the outcome is known, and "
                "not in every branch",
            )
        for batch in branch.batches:
            notes.expect(
                batch.common or batch.begin >= known,
                f"`{branch.words}`: {batch.batch} is begun on {batch.begin:%d %b %H:%M}, before the outcome is known, "
                "and not in every branch",
            )
    first = told.branches[0]
    for branch in told.branches[1:]:
        pairs = [([_before(run, known) for run in one.runs if run.common]) for one in (first, branch)]
        notes.expect(pairs[0] == pairs[1], f"`{branch.words}` has other common runs than `{first.words}`")
        work = [
            sorted((b.batch, b.begin, b.end if b.end < known else None) for b in one.batches if b.begin < known)
            for one in (first, branch)
        ]
        notes.expect(
            work[0] == work[1] and _common(first) == _common(branch),
            f"`{branch.words}` serves other batches before the outcome is known than `{first.words}`",
        )


def _common(branch: Branch) -> list[str]:
    return [batch.batch for batch in branch.batches if batch.common]


def _before(run: BranchRun, known: datetime) -> tuple[object, ...]:
    """What a common run is, and when, as far as that lies before the outcome is known."""
    times = (run.begin, run.start, run.end)
    return run.press, run.tool, *run.melts, run.shots, *(at if at < known else None for at in times)


def _first(case: Case, told: Branches, notes: Findings) -> None:
    """The first branch is the plan."""
    plan, first = case.plan, told.branches[0]
    ours = Counter(
        (r.press, r.tool, *r.melts, r.shots, r.changeover.start if r.changeover else r.stretches[0].start)
        for r in plan.runs
    )
    theirs = Counter((r.press, r.tool, *r.melts, r.shots, r.begin) for r in first.runs)
    notes.expect(ours == theirs, f"the branch `{first.words}` is not the plan: other runs, or at other times")
    leaves = {d.id: d.at for d in plan.dispatches}
    packed = sorted((b.id, b.end, leaves[b.dispatch]) for b in plan.batches)
    notes.expect(
        packed == sorted((b.batch, b.end, b.leaves) for b in first.batches),
        f"the branch `{first.words}` is not the plan: its batches are packed or leave at other times",
    )
    notes.expect(
        same(first.total, plan.outcome.total, MONEY),
        f"the plan costs {plan.outcome.total:.2f}, its branch `{first.words}` {first.total:.2f}",
    )


def _carried_out(case: Case, branch: Branch, notes: Findings) -> None:
    """Every shot and batch of the plan once, presses and tools in one place at a time."""
    shots: Counter[tuple[str, ...]] = Counter()
    for run in case.plan.runs:
        shots[run.tool, *run.melts] += run.shots
    for one in branch.runs:
        shots[one.tool, *one.melts] -= one.shots
        notes.expect(one.begin <= one.start <= one.end, f"`{branch.words}`: {_name(one)} ends before it begins")
    left = {key: count for key, count in shots.items() if count}
    notes.expect(not left, f"`{branch.words}` moulds other shots than the plan: {left}")
    ids = [batch.batch for batch in branch.batches]
    notes.expect(
        sorted(ids) == sorted(b.id for b in case.plan.batches), f"`{branch.words}` packs other batches than the plan"
    )
    for what, key in (("press", "press"), ("tool", "tool")):
        by: dict[str, list[BranchRun]] = {}
        for run_ in branch.runs:
            by.setdefault(getattr(run_, key), []).append(run_)
        for name, runs in by.items():
            for a, b in pairwise(sorted(runs, key=lambda run: run.begin)):
                notes.expect(a.end <= b.begin, f"`{branch.words}`: {what} {name} has two runs at {b.begin:%d %b %H:%M}")


def _tiers(case: Case, branch: Branch, notes: Findings) -> None:
    tier_of = {batch.id: batch.tier for batch in case.plan.batches}
    last: dict[str, date] = {}
    behind: dict[str, int] = {}
    packed = {batch.id: batch for batch in case.plan.batches}
    for batch in branch.batches:
        if batch.batch in tier_of:
            tier = tier_of[batch.batch]
            last[tier] = max(last.get(tier, date.min), batch.leaves.date())
            late = days_late(case, packed[batch.batch], case.clock.second(batch.leaves))
            behind[tier] = max(behind.get(tier, 0), late)
    notes.expect(
        {one.tier: one.leaves for one in branch.tiers} == last, f"`{branch.words}`: tiers leave on {_days(last)}"
    )
    for one in branch.tiers:
        tier_asked = case.campaign.tiers.get(one.tier)
        promised = tier_asked is not None and (tier_asked.promised is not None or bool(tier_asked.promised_in))
        late = behind.get(one.tier, 0)
        notes.expect(one.days_late == late, f"`{branch.words}`: {one.tier} is {late} days late, not {one.days_late}")
        if one.chance is not None:
            times = one.chance * branch.scenarios
            notes.expect(
                promised and 0 <= one.chance <= 1 and abs(times - round(times)) < 1e-3,
                f"`{branch.words}`: the chance of {one.tier}, {one.chance:.4f}, is no share of {branch.scenarios}",
            )


def _days(last: dict[str, date]) -> str:
    return ", ".join(f"{tier} {day:%d %b}" for tier, day in last.items())


def _not_before(branch: Branch, tool: str, ready: datetime, notes: Findings) -> None:
    early: Iterable[BranchRun] = (run for run in branch.runs if run.tool == tool and run.begin < ready)
    for run in early:
        notes.fault(
            f"`{branch.words}`: {_name(run)} begins on {run.begin:%d %b %H:%M}, its tool is ready on {ready:%d %b}"
        )


def _name(run: BranchRun) -> str:
    return f"{run.shots} shots of {run.tool} in {' + '.join(run.melts)} on press {run.press}"
