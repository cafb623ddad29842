"""A plan's branches as its document states them, and read back from it."""

from datetime import date

from planner.expected.branch_search import mean_by
from planner.expected.judged import Judged, saved_by
from planner.plan.averages import Branch as StatedBranch
from planner.plan.averages import BranchBatch, Branches, BranchRun, BranchTier
from planner.schedule import timing as w
from planner.schedule.encode import Names
from planner.schedule.instance import Instance, Ints, packed_instance
from planner.schedule.lot_begins import lot_begin
from planner.schedule.solution import objective_of
from planner.schedule.timing import Timing, timing_for
from planner.settled.branches import (
    Branch,
    Branched,
    batch_begins,
)
from planner.settled.recipes import dearer_by, recipe_words


def branches_as_written(names: Names, ours: Judged, plain: Judged, turned: Ints, ids: dict[int, str]) -> Branches:
    """ours: the plan with its branches, plain: without, both in the scenarios stated. turned (K): how the thing turns
    out in them. ids: of pack batches."""
    one = ours.candidate.branched
    assert one is not None
    return Branches(
        thing=one.thing.id,
        about=one.thing.about,
        known=names.clock.moment(one.known),
        same=one.same,
        plain_mean=plain.mean,
        worth=plain.mean - ours.mean,
        worth_error=saved_by(ours, plain)[2],
        turned=[int(n) for n in turned],
        branches=[_told(names, ours, one, n, turned, ids) for n in range(len(one.branches))],
    )


def _told(names: Names, ours: Judged, one: Branched, n: int, turned: Ints, ids: dict[int, str]) -> StatedBranch:
    branch = one.branches[n]
    turn, inst = branch.world.turn, branch.inst
    timing = timing_for(inst)
    objective_of(packed_instance(inst), branch.solution, timing)
    on_top = turn.cost + dearer_by(inst, names, turn)
    mean, error, scenarios = mean_by(ours.cost, turned, n)
    return StatedBranch(
        id=turn.id,
        words=turn.words,
        chance=turn.chance,
        scenarios=scenarios,
        mean=mean,
        standard_error=error,
        total=float(timing.totals[w.COST]) + on_top,
        on_top=on_top,
        recipes=recipe_words(names.campaign, turn),
        moves=list(turn.moves),
        tiers=_tiers(names, inst, timing, ours, turned == n),
        runs=_runs(names, one, branch, timing),
        batches=_batches(names, one, branch, timing, ids),
    )


def _runs(names: Names, one: Branched, branch: Branch, timing: Timing) -> list[BranchRun]:
    inst, found = branch.inst, []
    for row in timing.lots[:, w.ORDER].tolist():
        if row < 0:
            break
        lot = timing.lots[row]
        own = int(lot[w.LOT])
        run = names.runs[int(inst.lot_run[own])]
        pieces = timing.pieces[lot[w.FIRST_PIECE] : lot[w.FIRST_PIECE] + lot[w.PIECES]]
        found.append(
            BranchRun(
                press=names.presses[int(lot[w.PRESS])],
                tool=run.tool,
                melts=list(run.melts),
                shots=int(lot[w.SHOTS]),
                begin=names.clock.moment(lot_begin(timing, row)),
                start=names.clock.moment(int(lot[w.START])),
                end=names.clock.moment(int(pieces[-1, w.BEGAN] + pieces[-1, w.WORK])),
                common=_place(branch, own) < one.common.heads[int(lot[w.PRESS])],
            )
        )
    return sorted(found, key=lambda run: run.press)  # stable: within a press, in order of work


def _place(branch: Branch, lot: int) -> int:
    return next(row.index(lot) for row in branch.solution.lots() if lot in row)


def _batches(
    names: Names, one: Branched, branch: Branch, timing: Timing, ids: dict[int, str]
) -> list[BranchBatch]:  # fmt: skip
    begin = batch_begins(timing, branch.inst)
    rows = timing.batches
    return [
        BranchBatch(
            batch=ids[b],
            begin=names.clock.moment(int(begin[b])),
            end=names.clock.moment(int(rows[b, w.ENDED])),
            leaves=names.clock.moment(int(branch.inst.pickup_t[rows[b, w.PICKUP]])),
            common=b in one.common.batches,
        )
        for b in branch.solution.order.tolist()
    ]


def _tiers(names: Names, inst: Instance, timing: Timing, ours: Judged, own: Ints) -> list[BranchTier]:
    leaves: dict[str, date] = {}
    late: dict[str, int] = {}
    for b, batch in enumerate(names.batches):
        day = names.clock.day(int(inst.pickup_t[timing.batches[b, w.PICKUP]]))
        leaves[batch.tier] = max(leaves.get(batch.tier, day), day)
        behind = 0 if batch.hand_over_by is None else (day - batch.hand_over_by).days
        late[batch.tier] = max(late.get(batch.tier, 0), behind)
    found = []
    for tier in names.campaign.tiers:
        if tier not in leaves:
            continue
        chance = None
        if tier in ours.in_time and own.any():
            chance = float(ours.in_time[tier][own].mean())
        found.append(BranchTier(tier=tier, leaves=leaves[tier], days_late=late[tier], chance=chance))
    return found
