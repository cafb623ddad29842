"""A plan's branches read back from its document: orders of work, and what can be followed through scenarios."""

from planner.campaign.order_of_work import OrderOfWork, WorkRun
from planner.plan.averages import Branch as StatedBranch
from planner.plan.averages import Branches
from planner.plan.document import RunPlan
from planner.plan.order_of_work import followed, order_of
from planner.schedule.encode import Names
from planner.schedule.instance import Instance
from planner.schedule.solution import Solution
from planner.settled.branches import Branch, Branched, Common, held_fast, in_each_world, same_order
from planner.settled.things import thing_of


def order_of_branch(plan: RunPlan, branch: StatedBranch) -> OrderOfWork:
    """The order of work of one branch of a plan. The first is the plan: what waits there on purpose waits in it, and of
    all others what is common does."""
    said = plan.outcome.expected
    first = said is not None and said.branches is not None and branch.id == said.branches.branches[0].id
    waits = {(r.press, r.tool, *r.melts, r.shots): r.not_before for r in plan.runs if r.not_before is not None}
    presses: dict[str, list[WorkRun]] = {}
    for run in branch.runs:
        colours = [melt.rpartition("/")[2] for melt in run.melts]
        put_off = waits.get((run.press, run.tool, *run.melts, run.shots)) if first or run.common else None
        work = WorkRun(tool=run.tool, colours=colours, shots=run.shots, not_before=put_off)
        presses.setdefault(run.press, []).append(work)
    main = order_of(plan)
    by_service = sorted(plan.batches, key=lambda b: b.served)
    named = dict(zip((b.id for b in by_service), main.service, strict=True))
    return OrderOfWork(presses=presses, service=[named[b.batch] for b in branch.batches])


def as_read(inst: Instance, names: Names, plan: RunPlan) -> tuple[Instance, Solution, Branched | None]:
    """A plan as its document has it, to be followed through scenarios: its lots, its order of work, its branches."""
    said = plan.outcome.expected
    ours, solution = followed(inst, names, order_of(plan))
    told = None if said is None else said.branches
    return ours, solution, None if told is None else _branched(inst, names, plan, told, (ours, solution))


def _branched(
    inst: Instance, names: Names, plan: RunPlan, told: Branches, main: tuple[Instance, Solution]
) -> Branched | None:
    """None where the campaign no longer settles what the branches are of."""
    thing = thing_of(names.campaign, told.thing)
    if thing is None or [turn.id for turn in thing.turns] != [branch.id for branch in told.branches]:
        return None
    known = names.clock.seconds(told.known)
    orders = [followed(inst, names, order_of_branch(plan, branch)) for branch in told.branches]
    found: list[Branch] = []
    common = Common((), ())
    for branch, (world, there, own) in zip(told.branches, in_each_world(inst, names, thing, orders), strict=True):
        heads = [sum(run.common and run.press == press for run in branch.runs) for press in names.presses]
        first = sum(batch.common for batch in branch.batches)
        common = Common(tuple(heads), tuple(int(b) for b in own.order[:first]))
        held, kept = held_fast(there, own, common, known, as_planned=not found)
        found.append(Branch(world, held, kept))
    branched = Branched(thing, known, common, tuple(found))
    return same_order(branched, *main) if told.same else branched
