"""What a search found as a run plan: written down, audited, tried again from its parts."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from math import fsum

import numba
import numpy as np
from ortools.init.python import init

from planner.cautions import cautions_for
from planner.cautions.inspection import switched, unplanned
from planner.control import Control, Progress
from planner.demand.several_campaigns import several
from planner.errors import AuditFailed, Problem
from planner.expected.search import Chosen
from planner.expected.stated import stated
from planner.plan import benches, cartons, dryers, material_balance, purging, runs
from planner.plan.apart import Made, apart
from planner.plan.cash import cash, finishing_due, in_order
from planner.plan.charges import charge_lines, charged, charges_due, with_charges
from planner.plan.customs import customs
from planner.plan.document import Outcome, RunPlan
from planner.plan.finishing import finishing_jobs, finishing_lots
from planner.plan.inspection import curves, inspections
from planner.plan.money import costs, finishing_lines, purged_kg
from planner.plan.others_work import with_others_work
from planner.plan.split import with_splits
from planner.plan.tool_steps import tool_steps
from planner.plan.wishes import WishCost, wishes_kept
from planner.planning.gone_through import told as told_with
from planner.planning.verdict import LEFT_OUT, audited, failed_part, retried, set_aside
from planner.schedule.bounds.avoidable import avoidable_gap
from planner.schedule.bounds.lower_bound import beforehand
from planner.schedule.bounds.objective_gap import aim_as_written, aim_undercut
from planner.schedule.bounds.undercut import BOUND, Undercut, dearer
from planner.schedule.broken import broken, tell_why_parts_wait
from planner.schedule.construct import first_plans
from planner.schedule.encode import Names
from planner.schedule.instance import Floats, Instance, fingerprint, packed_instance
from planner.schedule.merge import merged
from planner.schedule.search import Found
from planner.schedule.solution import objective_of, waiting
from planner.schedule.timing import BROKEN, timing_for
from planner.spared import Fault, overlook, spare
from planner.why.make import why

OUR_FAULT = "every plan that was found breaks a rule of its own audit; this is our fault, not the campaign's"
FIXED = "what no order of work changes: moulded material, pieces, labour, postage"
"""What a bound rests on where there is no better one."""

AVERAGE = "what the plan costs on average"
"""A part that may fail."""

NOTHING_PRICED: Mapping[int, WishCost] = {}

PLAN_AGAIN = "plan again with another `planning.seed`; if it happens again, tell us with this plan's id"


def sound(
    inst: Instance,
    names: Names,
    found: Found,
    control: Control,
    chosen: Chosen | None = None,
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
    inst: Instance, names: Names, found: Found, chosen: Chosen | None, worth: Mapping[int, WishCost]
) -> Iterator[Callable[[], RunPlan]]:
    yield lambda: written(inst, names, found, chosen=chosen, worth=worth)
    plain = replace(found, ended="budget used" if found.ended == "proven" else found.ended, bound=0.0, bound_basis="")
    if retried():
        yield lambda: written(inst, names, found, joined=False, chosen=chosen, worth=worth)
        yield lambda: written(inst, names, replace(plain, aim=None), told=False, joined=False)
        for value, solution in first_plans(inst, packed_instance(inst), timing_for(inst)):
            other = replace(plain, solution=solution, objective=value, aim=None, cut=None)
            yield partial(written, inst, names, other, told=False, joined=False)


def written(
    inst: Instance,
    names: Names,
    found: Found,
    told: bool = True,
    joined: bool = True,
    chosen: Chosen | None = None,
    worth: Mapping[int, WishCost] = NOTHING_PRICED,
) -> RunPlan:
    """The run plan document of a solution, not yet audited. told: with what binds it, which takes some milliseconds.
    joined: neighbouring lots of one demand become one run where that costs nothing. chosen: for what it costs on
    average, with what that was worked out from. worth: what its wishes cost, by their places.

    What it costs, and what it has of its aim, are those of the runs as they are written down.
    """
    faults = list(found.faults)
    inst = waiting(found.cut or inst, found.solution)
    whole = joined and (chosen is None or chosen.candidate.certain)  # else they are joined as the average allows
    inst, solution = merged(inst, found.solution) if whole else (inst, found.solution)
    inst, solution = broken(inst, solution)
    timing = timing_for(inst)
    objective_of(packed_instance(inst), solution, timing)
    tell_why_parts_wait(inst, timing)
    used = with_others_work(names, runs.runs(inst, names, timing))
    ids = benches.pickup_ids(timing)
    assembly = benches.assembly(names, timing)
    finishing, lots = finishing_jobs(inst, names, timing), finishing_lots(inst, names, timing, solution.order)
    packed = cartons.boxed(names.campaign, benches.batches(names, timing, solution.order, ids))
    sent = cartons.palletised(benches.dispatches(inst, names, timing, packed), packed)
    bought = material_balance.materials(names, used)
    pieces = material_balance.pieces(names, used, assembly, packed, finishing)
    campaign = names.campaign
    loads = dryers.loads(campaign, used, names.clock)
    inspected = inspections(campaign, [use.run for use in used])
    heaviest = max((batch.box.gross_kg for batch in packed if batch.box), default=None)
    paid = charged(inst, names, used)
    lines = with_charges(
        costs(
            campaign,
            used,
            bought,
            pieces,
            int(inst.job_work.sum()),
            packed,
            sent,
            dryers.cleanings_seconds(campaign, loads),
        ),
        charge_lines(campaign, used, paid),
    )
    lines[-1:-1] = finishing_lines(campaign, finishing, lots)
    total = fsum(line.amount for line in lines)
    fixed = min(inst.fixed_cost, total)
    found = held_to_bounds(inst, timing.totals, total, found, faults)
    aim = aim_as_written(inst, timing.totals, found.aim)
    bound, basis = (min(found.bound, total), found.bound_basis) if found.bound > fixed else (fixed, FIXED)
    expected = None
    if chosen is not None:
        expected = spare(
            AVERAGE, lambda: stated(inst, names, solution, chosen, joined, benches.batch_ids(timing)), None, faults
        )
    outcome = Outcome(
        status="optimal" if found.ended == "proven" else "feasible",
        ended=found.ended,
        aim=campaign.planning.aim,
        total=total,
        lower_bound=bound,
        gap=(total - bound) / total if total else 0.0,
        avoidable=total - fixed,
        avoidable_gap=avoidable_gap(total, bound, fixed),
        bound_basis=basis if found.ended == "proven" else told_with(basis, campaign),
        aim_unit=aim.unit if aim else None,
        aim_value=aim.value if aim else None,
        aim_bound=aim.bound if aim else None,
        aim_gap=aim.gap if aim else None,
        aim_basis=aim.basis if aim else "",
        seed=campaign.planning.seed,
        rounds=found.rounds,
        model_hash=fingerprint(inst),
        versions=versions(),
        expected=expected,
    )
    tiers = with_splits(inst, names, solution, timing, benches.tiers(names, packed, sent), packed, sent, faults)
    plan = RunPlan(
        name=campaign.name,
        currency=campaign.currency,
        time_zone=campaign.time_zone,
        start=names.start,
        outcome=outcome,
        tiers=tiers,
        tool_steps=tool_steps(campaign, names.clock),
        wishes=wishes_kept(names, [use.run for use in used], worth),
        runs=[use.run for use in used],
        balance=material_balance.balance(names),
        materials=[line for line, _ in bought],
        pieces=[line for line, _ in pieces],
        drying=dryers.lines(campaign, loads),
        finishing=finishing,
        finishing_lots=lots,
        assembly=assembly,
        batches=packed,
        dispatches=sent,
        inspections=inspected,
        curves=curves(inspected),
        customs=customs(campaign, packed),
        costs=lines,
        campaigns=apart(
            Made(campaign, names.runs, used, assembly, packed, sent),
            tiers,
            outcome,
            lines,
            bought,
            [line for line, _ in pieces],
            (finishing, lots),
            paid,
        )
        if several(campaign)
        else [],
        cash=in_order(
            cash(
                campaign,
                used,
                [line for line, _ in bought],
                [line for line, _ in pieces],
                assembly,
                packed,
                sent,
                dryers.lines(campaign, loads),
            ),
            [*finishing_due(campaign, finishing, lots), *charges_due(paid)],
        ),
        purge_kg=fsum(purged_kg(use) for use in used),
        purging=spare(
            "the notes on purging",
            lambda: purging.notes(inst, names, total, [use.run for use in used]),
            None,
            faults,
        ),
        why=spare(LEFT_OUT, lambda: why(inst, names, solution, timing), None, faults) if told else None,
        cautions=[
            *cautions_for(campaign, [use.run for use in used], heaviest, loads),
            *unplanned(campaign, inspected),
            *switched(campaign),
        ],
    )
    return plan.model_copy(update={"cautions": [*plan.cautions, *map(failed_part, faults)]})


def held_to_bounds(inst: Instance, totals: Floats, total: float, found: Found, faults: list[Fault]) -> Found:
    """What was found, without the bounds that the plan as it is written shows to be wrong, and then without its proof:
    lots may have been joined since, or an order of work kept that costs less. Who breaks a wish undercuts nothing."""
    if (
        inst.several and (known := beforehand(inst)).total > found.bound
    ):  # shared out otherwise, other shots are moulded
        found = replace(found, bound=known.total, bound_basis=known.basis)
    if totals[BROKEN] > 0.0:
        return found
    if wrong := dearer(found.bound, total):
        overlook(BOUND, Undercut(wrong), faults)
        found = replace(found, bound=0.0, bound_basis="", ended="budget used" if found.proven else found.ended)
    if found.aim is not None and (wrong := aim_undercut(inst, totals, found.aim)):
        overlook(BOUND, Undercut(wrong), faults)
        less = replace(found.aim, bound=0.0, basis="nothing")
        found = replace(found, aim=less, ended="budget used" if found.proven else found.ended)
    return found


def versions() -> dict[str, str]:
    """Versions of the libraries that decide a plan: with the model's hash, the seed and the rounds they repeat it."""
    return {"ortools": init.OrToolsVersion.version_string(), "numpy": np.__version__, "numba": numba.__version__}
