"""What a search found as a run plan: written down, audited, tried again from its parts."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from math import fsum
from typing import TYPE_CHECKING

from planner.cautions import cautions_for
from planner.cautions.inspection import switched, unplanned
from planner.control import Control, Progress
from planner.errors import AuditFailed, Problem
from planner.plan import benches, dryers, material_balance, purging
from planner.plan.averages import Expected
from planner.plan.customs import customs
from planner.plan.document import RunPlan
from planner.plan.inspection import curves
from planner.plan.money import purged_kg
from planner.plan.split import with_splits
from planner.plan.tool_steps import tool_steps
from planner.plan.tools_at import tools_at
from planner.plan.wishes import WishCost, wishes_kept
from planner.planning.contents import contents, cost_lines, payments, told_apart
from planner.planning.outcome import held_to_bounds, outcome_of
from planner.planning.verdict import LEFT_OUT, audited, failed_part, retried, set_aside
from planner.schedule.bounds.objective_gap import aim_as_written, unbounded
from planner.schedule.broken import broken, tell_why_parts_wait
from planner.schedule.construct import first_plans
from planner.schedule.encode import Names
from planner.schedule.found import Found
from planner.schedule.instance import Instance, packed_instance
from planner.schedule.merge import merged
from planner.schedule.solution import Solution, objective_of, waiting
from planner.schedule.timing import Timing, timing_for
from planner.spared import spare
from planner.why.make import why

if TYPE_CHECKING:
    from planner.expected.search import Chosen

OUR_FAULT = "every plan that was found breaks a rule of its own audit; this is our fault, not the campaign's"
AVERAGE = "what the plan costs on average"
"""A part that may fail."""

NOTHING_PRICED: Mapping[int, WishCost] = {}

PLAN_AGAIN = "plan again with another `planning.seed`; if it happens again, tell us with this plan's id"


def sound(
    inst: Instance,
    names: Names,
    found: Found,
    control: Control,
    chosen: "Chosen | None" = None,
    worth: Mapping[int, WishCost] = NOTHING_PRICED,
) -> RunPlan:
    """The run plan of what was found, audited; refused, it is tried again from its parts before it is given up: without
    joined lots, without its bound, and as the rules of practice make a first plan. worth: what its wishes cost.

    Raises AuditFailed where none of these passes.
    """
    first: AuditFailed | None = None
    for once_more in _parts(inst, names, found, chosen, worth):
        plan = once_more()
        end = plan.outcome
        gap = end.avoidable_gap if end.aim_gap is None else end.aim_gap
        control.report(Progress("audit", 1.0, end.total, end.lower_bound, gap))
        try:
            plan = audited(names.campaign, plan)
        except AuditFailed as failed:
            first = first or failed
        else:
            return plan if first is None else plan.model_copy(update={"cautions": [*plan.cautions, set_aside(first)]})
    assert first is not None
    raise AuditFailed([Problem("", OUR_FAULT, PLAN_AGAIN), *first.broken])


def _parts(
    inst: Instance, names: Names, found: Found, chosen: "Chosen | None", worth: Mapping[int, WishCost]
) -> Iterator[Callable[[], RunPlan]]:
    yield lambda: written(inst, names, found, chosen=chosen, worth=worth)
    ended = "budget used" if found.ended == "proven" else found.ended
    plain = replace(found, ended=ended, bound=0.0, bound_basis="", aim=unbounded(found.aim))
    if retried():
        yield lambda: written(inst, names, found, joined=False, chosen=chosen, worth=worth)
        yield lambda: written(inst, names, plain, told=False, joined=False)
        for value, solution in first_plans(inst, packed_instance(inst), timing_for(inst)):
            other = replace(plain, solution=solution, objective=value, cut=None)
            yield partial(written, inst, names, other, told=False, joined=False)


def written(
    inst: Instance,
    names: Names,
    found: Found,
    told: bool = True,
    joined: bool = True,
    chosen: "Chosen | None" = None,
    worth: Mapping[int, WishCost] = NOTHING_PRICED,
) -> RunPlan:
    """The run plan document of a solution, not yet audited. told: with what binds it, which takes some milliseconds.
    joined: neighbouring lots of one demand become one run where that costs nothing. chosen: for what it costs on
    average, with what that was worked out from. worth: what its wishes cost, by their places.

    What it costs, and what it has of its aim, are those of the runs as they are written down.
    """
    faults = list(found.faults)
    whole = joined and (chosen is None or chosen.candidate.certain)  # else they are joined as the average allows
    lots, order = _lots(inst, found, whole)
    inst, solution, timing = _timed(lots, order)
    campaign, work = names.campaign, contents(inst, names, solution, timing)
    lines = cost_lines(campaign, work)
    found = held_to_bounds(inst, timing.totals, found, lines, faults)
    expected = None
    if chosen is not None:
        of = chosen
        expected = spare(
            AVERAGE, lambda: _on_average(lots, names, order, of, joined, benches.batch_ids(timing)), None, faults
        )
    outcome = outcome_of(inst, campaign, found, lines, aim_as_written(inst, timing.totals, found.aim), expected)
    tiers = benches.tiers(names, work.packed, work.sent)
    tiers = with_splits(inst, names, solution, timing, tiers, work.packed, work.sent, faults)
    plan = RunPlan(
        name=campaign.name,
        currency=campaign.currency,
        time_zone=campaign.time_zone,
        start=names.start,
        outcome=outcome,
        tiers=tiers,
        tool_steps=tool_steps(campaign, names.clock),
        wishes=wishes_kept(names, work.runs, worth),
        tools_at=tools_at(campaign, work.runs),
        runs=work.runs,
        balance=material_balance.balance(names),
        materials=work.materials,
        pieces=work.pieces,
        drying=dryers.lines(campaign, work.loads),
        finishing=work.finishing,
        finishing_lots=work.finishing_lots,
        carried=work.carried,
        assembly=work.assembly,
        batches=work.packed,
        dispatches=work.sent,
        inspections=work.inspected,
        curves=curves(work.inspected),
        customs=customs(campaign, work.packed),
        costs=lines,
        campaigns=told_apart(names, work, tiers, outcome, lines),
        cash=payments(campaign, work),
        purge_kg=fsum(purged_kg(use) for use in work.uses),
        purging=spare(
            "the notes on purging", lambda: purging.notes(inst, names, outcome.total, work.runs), None, faults
        ),
        why=spare(LEFT_OUT, lambda: why(inst, names, solution, timing), None, faults) if told else None,
        cautions=[
            *cautions_for(campaign, work.runs, work.heaviest_kg, work.loads),
            *unplanned(campaign, work.inspected),
            *switched(campaign),
        ],
    )
    return plan.model_copy(update={"cautions": [*plan.cautions, *map(failed_part, faults)]})


def _on_average(
    lots: Instance, names: Names, order: Solution, chosen: "Chosen", joined: bool, ids: dict[int, str]
) -> Expected:
    from planner.expected.stated import stated  # here: a plan for a certain world is written without it

    return stated(lots, names, order, chosen, joined, ids)


def _lots(inst: Instance, found: Found, whole: bool) -> tuple[Instance, Solution]:
    """The lots of what was found. whole: neighbouring lots are joined where that costs nothing."""
    inst, solution = waiting(found.cut or inst, found.solution), found.solution
    return merged(inst, solution) if whole else (inst, solution)


def _timed(inst: Instance, solution: Solution) -> tuple[Instance, Solution, Timing]:
    """Lots timed as they are written down, what others' work breaks off as lots of its own."""
    inst, solution = broken(inst, solution)
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    tell_why_parts_wait(inst, timing)
    return inst, solution, timing
