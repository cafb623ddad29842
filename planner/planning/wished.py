"""Wishes of the maker: which can be kept, why others cannot, and what each that is kept costs (RULES.md, Y)."""

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from planner.campaign import Campaign
from planner.control import Control
from planner.demand.at_the_shot import made_before
from planner.expected.budgets import load_of
from planner.expected.judged import Candidate, judge
from planner.expected.search import Chosen
from planner.plan import runs
from planner.plan.document import Run
from planner.plan.wishes import WishCost, broken, named
from planner.planning.quiet import Quiet
from planner.readiness import ready_of
from planner.schedule.encode import NO_WISH_REFUSED, Names, RefusedWish, compile_campaign
from planner.schedule.encode.wishes import end_of
from planner.schedule.found import Found
from planner.schedule.infeasible import NoPlan
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.merge import merged
from planner.schedule.search import STEPS_A_ROUND, Budget, search
from planner.schedule.solution import Solution, objective_of, waiting
from planner.schedule.timing import BROKEN, COST, timing_for
from planner.wording import day_or_moment

LOOK_ROUNDS = 4
"""Search rounds of a look at whether wishes can be kept, and at what a plan costs without one."""

BESIDE_ROUNDS = 2
"""Rounds that it takes as long as to compile a campaign for a search and to make and finish its plans."""

LOOKED_WORK = 800_000_000
"""Lots, jobs, batches and needs that looks at single wishes go through, all together: half a minute. Where that is too
little for LOOK_ROUNDS each, each gets fewer, and those for whom nothing is left are not kept."""

PRICED_WORK = 240_000_000
"""The same for pricing, which comes when the budget of time is over. Those for whom nothing is left have no price."""

MOST_PRICED = 20
"""Wishes priced in one plan: each takes a search of its own."""

TOGETHER = "no plan was found that keeps it beside the wishes listed before it"
TOO_MANY = "too many wishes are listed before it for a campaign of this size: list fewer, or this one first"
ALONE = "no plan was found that keeps it, with or without other wishes"

RULE_OF_WAIT = {
    "material": "R16", "a setter": "R4", "press hours": "R1", "its dryer": "R22", "a wish": "Y2", "operators": "R26",
    "what it is moulded over": "O2", "": "R5",
}  # fmt: skip
"""What a run waited for -> the rule that kept it from beginning sooner."""


class Compiled(NamedTuple):
    """A campaign compiled with the wishes that can be kept, and a plan that keeps them to start from."""

    inst: Instance
    names: Names
    start: Solution | None


def compiled(campaign: Campaign, control: Control) -> Compiled:
    """Compile a campaign; where it has wishes that cannot all be kept, those listed first are."""
    if not campaign.wishes:
        return Compiled(*compile_campaign(campaign), None)
    everything = {n: RefusedWish("", "") for n in range(len(campaign.wishes))}
    first = _looked(campaign, NO_WISH_REFUSED, control)
    if first.kept:
        return first.compiled
    refused: dict[int, RefusedWish] = {}
    rounds, looks = shared_out(LOOKED_WORK, first.compiled.inst, 2 * len(campaign.wishes) + 1)
    best = _looked(campaign, everything, control, rounds)
    for n in range(len(campaign.wishes)):
        looks -= 2
        if looks < 0:
            refused[n] = RefusedWish("Y1", TOO_MANY)
            continue
        later = {m: one for m, one in everything.items() if m > n}
        look = _looked(campaign, refused | later, control, rounds)
        if look.kept:
            best = look
            continue
        others = {m: one for m, one in everything.items() if m != n}
        alone = look if len(refused) == n else _looked(campaign, others, control, rounds)
        refused[n] = RefusedWish("Y1", TOGETHER) if alone.kept else _why(campaign, n, alone)
    inst, names = compile_campaign(campaign, refused)
    return Compiled(inst, names, best.compiled.start if _alike(inst, best.compiled.inst) else None)


def shared_out(work: int, inst: Instance, searches: int) -> tuple[int, int]:
    """Rounds for each of so many searches (LOOK_ROUNDS at most, one at least), and how many there is work for."""
    a_round = STEPS_A_ROUND * load_of(inst)
    rounds = max(1, min(LOOK_ROUNDS, work // (a_round * searches) - BESIDE_ROUNDS))
    return rounds, min(searches, work // (a_round * (rounds + BESIDE_ROUNDS)))


def _alike(one: Instance, other: Instance) -> bool:
    return bool(np.array_equal(one.lot_run, other.lot_run) and np.array_equal(one.lot_shots, other.lot_shots))


class _Look(NamedTuple):
    """What a short search found. kept: whether it found a plan that keeps every wish it was given. empty_mould: its
    plan is none that can be carried out: something is moulded over what is not there."""

    compiled: Compiled
    kept: bool
    runs: tuple[Run, ...]
    none: str
    empty_mould: bool = False


def _looked(
    campaign: Campaign, refused: Mapping[int, RefusedWish], control: Control, rounds: int = LOOK_ROUNDS
) -> _Look:  # fmt: skip
    inst, names = compile_campaign(campaign, refused)
    budget = Budget(rounds, campaign.planning.seed, 0.0, bound_effort=0.0)
    try:
        found = search(inst, budget, Quiet(control))
    except NoPlan as none:
        return _Look(Compiled(inst, names, None), False, (), str(none))
    lots = waiting(found.cut or inst, found.solution)
    made = moulded(lots, names, found.solution)
    start = found.solution if found.cut is None else None
    unkept = broken(names, made)
    # what keeps every wish and counts as broken all the same began with nothing in its mould
    timing = timing_for(lots)
    objective_of(packed_instance(lots), found.solution, timing)
    empty = inst.over_ptr.size > 0 and not unkept and timing.totals[BROKEN] > 0.0
    return _Look(Compiled(inst, names, start), not unkept and not empty, tuple(made), "", empty)


def moulded(inst: Instance, names: Names, solution: Solution) -> list[Run]:
    """The runs of a solution, neighbouring lots of one demand joined."""
    joined, order = merged(inst, solution)
    timing = timing_for(joined)
    objective_of(packed_instance(joined), order, timing)
    return [use.run for use in runs.runs(joined, names, timing)]


def _why(campaign: Campaign, n: int, look: _Look) -> RefusedWish:
    """Why a wish cannot be kept even by itself."""
    wish = campaign.wishes[n]
    if look.none:
        return RefusedWish("R1", f"{ALONE}: {look.none}")
    before = made_before(campaign, wish.runs.tool) if wish.runs is not None else set()
    if wish.runs is not None and before and (look.empty_mould or (wish.then is not None and wish.then.tool in before)):
        return RefusedWish("O2", f"{ALONE}: {wish.runs.tool} is moulded over what {', '.join(sorted(before))} makes")
    pinned = [begun for press in campaign.presses.values() for begun in press.begins_with]
    if wish.runs is not None and wish.done_by is not None:
        clock, ready = look.compiled.names.clock, ready_of(campaign, wish.runs.tool)
        if ready is not None and clock.seconds(ready) >= clock.seconds(end_of(wish.done_by)):
            return RefusedWish("T3", f"{ALONE}: tool {wish.runs.tool} is ready {day_or_moment(ready)}")
        mine = sorted(named(look.runs, wish.runs), key=lambda run: run.start)
        if mine:
            said = next((run.waits_for for run in mine if run.waits_for), "")
            rule = RULE_OF_WAIT.get(said, "T3" if ", ready " in said else "R15")
            waited = f", having waited for {said}" if said else ""
            last = max(run.end for run in mine)
            soonest = f"the soonest end found is {last:%a} {last.day} {last:%b %H:%M}"
            return RefusedWish(rule, f"{ALONE}: {soonest}{waited}")
    if pinned and wish.kind in ("order", "colour first", "together"):
        return RefusedWish("R17", f"{ALONE}: what `begins_with` fixes goes first")
    return RefusedWish("A1", f"{ALONE}; whatever fits the presses and may share them was tried")


def priced(
    inst: Instance, names: Names, found: Found, control: Control, chosen: Chosen | None = None
) -> tuple[Found, dict[int, WishCost]]:
    """What each wish that is kept costs: this plan against the one found without it, both sought as long from here.

    The plan itself is looked at as long as those without a wish, so that no gain of looking longer is taken for the
    price of a wish; where that finds a cheaper plan, it is the plan.
    """
    campaign = names.campaign
    kept = [n for n in range(len(campaign.wishes)) if n not in names.refused]
    if not kept or control.should_stop() or len(kept) > MOST_PRICED:
        return found, {}
    rounds, searches = shared_out(PRICED_WORK, inst, len(kept) + 1)
    if searches < 2:
        return found, {}
    lots = found.cut or inst
    with_all = found if chosen is not None else _again(lots, found.solution, campaign, control, rounds)
    if with_all is not None and chosen is None and with_all.objective < found.objective - 1e-6:
        found = replace(
            found, solution=with_all.solution, objective=with_all.objective, cost=with_all.cost,
            cut=with_all.cut or (None if lots is inst else lots),
            ended="budget used" if found.ended == "proven" else found.ended,
        )  # fmt: skip
        lots = found.cut or inst
    ours = _cost(waiting(lots, found.solution), found.solution)
    prices: dict[int, WishCost] = {}
    for n in kept[: searches - 1]:
        if control.should_stop():
            break
        without, its_names = compile_campaign(campaign, {**names.refused, n: RefusedWish("", "")})
        same_lots = without._replace(lot_run=lots.lot_run, lot_shots=lots.lot_shots)
        other = _again(same_lots, found.solution, campaign, control, rounds)
        if other is None:
            continue
        on_average = None
        if chosen is not None:
            on_average = _mean(chosen, names, Candidate(lots, found.solution, chosen.candidate.policy)) - min(
                _mean(chosen, its_names, Candidate(one, order, chosen.candidate.policy))
                for one, order in (
                    (waiting(other.cut or same_lots, other.solution), other.solution),
                    (waiting(same_lots, found.solution), found.solution),
                )
            )
        prices[n] = WishCost(max(0.0, ours - other.cost), on_average)
    return found, prices


def _cost(inst: Instance, solution: Solution) -> float:
    """Money of a plan if all goes well."""
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    return float(timing.totals[COST])


def _mean(chosen: Chosen, names: Names, candidate: Candidate) -> float:
    return judge(names, candidate, chosen.report, chosen.threads).mean


def _again(inst: Instance, start: Solution, campaign: Campaign, control: Control, rounds: int) -> Found | None:
    """The best plan found from another one on, in so many rounds."""
    budget = Budget(rounds, campaign.planning.seed, 0.0, bound_effort=0.0)
    try:
        return search(inst, budget, Quiet(control), start)
    except NoPlan:
        return None
