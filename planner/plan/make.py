"""One call from campaign to run plan: compile, search, write down, audit."""

import hashlib
from math import fsum

import numba
import numpy as np
from ortools.init.python import init

from planner.campaign import Campaign
from planner.cautions import cautions_for
from planner.control import Control, Progress
from planner.errors import Infeasible, Stopped
from planner.plan import benches, cartons, dryers, purging, runs, stuff
from planner.plan.customs import customs
from planner.plan.document import Outcome, RunPlan
from planner.plan.inspection import curves, inspections, switched, unplanned
from planner.plan.money import costs
from planner.plan.split import with_splits
from planner.plan.verdict import audited
from planner.schedule.compiled import Names, compile_campaign
from planner.schedule.infeasible import reasons
from planner.schedule.instance import Instance
from planner.schedule.merge import merged
from planner.schedule.search import Budget, Found, NoPlan, search
from planner.schedule.solution import objective_of
from planner.schedule.tape import tape
from planner.schedule.timing import timing_for
from planner.why.make import why


def make_plan(campaign: Campaign, control: Control) -> RunPlan:
    """Plan a campaign that passed its cross-checks; the auditor's verdict travels in the plan.

    Raises Infeasible with reasons where nothing can be carried out, Stopped if asked to stop before a first plan, and
    AuditFailed where the auditor finds the plan to break a rule.
    """
    if control.should_stop():
        raise Stopped("stopped before a first plan was there")
    control.report(Progress("reading", 0.0))
    inst, names = compile_campaign(campaign)
    plan = campaign.planning
    try:
        found = search(inst, Budget(plan.rounds, plan.seed, plan.gap), control)
    except NoPlan as none:
        raise Infeasible(reasons(inst, names)) from none
    control.report(Progress("audit", 1.0, found.cost, found.bound, None))
    return audited(campaign, written(inst, names, found))


def written(inst: Instance, names: Names, found: Found, told: bool = True) -> RunPlan:
    """The run plan document of a solution, not yet audited. told: with what binds it, which takes some milliseconds."""
    inst, solution = merged(inst, found.solution)
    tp, timing = tape(inst), timing_for(inst)
    objective_of(tp, solution, timing)
    used = runs.runs(inst, names, timing)
    ids = benches.pickup_ids(timing)
    assembly = benches.assembly(names, timing)
    packed = cartons.boxed(names.campaign, benches.batches(names, timing, solution.order, ids))
    sent = cartons.palletised(benches.dispatches(inst, names, timing, packed), packed)
    bought = stuff.materials(names, used)
    pieces = stuff.pieces(names, assembly, packed)
    campaign = names.campaign
    loads = dryers.loads(campaign, used)
    inspected = inspections(campaign, [use.run for use in used])
    heaviest = max((batch.box.gross_kg for batch in packed if batch.box), default=None)
    lines = costs(campaign, used, bought, pieces, int(inst.job_work.sum()), packed, sent)
    total = fsum(line.amount for line in lines)
    bound = min(found.bound, total)
    return RunPlan(
        name=campaign.name,
        currency=campaign.currency,
        time_zone=campaign.time_zone,
        start=names.start,
        outcome=Outcome(
            status="optimal" if found.ended == "proven" else "feasible",
            ended=found.ended,
            aim=campaign.planning.aim,
            total=total,
            lower_bound=bound,
            gap=(total - bound) / total if total else 0.0,
            avoidable=max(total - inst.fixed_cost, total - bound),
            bound_basis=found.bound_basis,
            aim_unit=found.aim.unit if found.aim else None,
            aim_value=found.aim.value if found.aim else None,
            aim_bound=found.aim.bound if found.aim else None,
            aim_gap=found.aim.gap if found.aim else None,
            aim_basis=found.aim.basis if found.aim else "",
            seed=campaign.planning.seed,
            rounds=found.rounds,
            model_hash=hashlib.sha256(tp.ints.tobytes() + tp.floats.tobytes()).hexdigest(),
            versions=versions(),
        ),
        tiers=with_splits(inst, names, solution, timing, benches.tiers(names, packed, sent), packed, sent),
        runs=[use.run for use in used],
        balance=stuff.balance(names),
        materials=[line for line, _ in bought],
        pieces=[line for line, _ in pieces],
        drying=dryers.lines(campaign, loads),
        assembly=assembly,
        batches=packed,
        dispatches=sent,
        inspections=inspected,
        curves=curves(inspected),
        customs=customs(campaign, packed),
        costs=lines,
        purge_kg=fsum(kg for use in used for kg in (*use.purge_kg, use.compound_kg)),
        purging=purging.notes(inst, names, found.solution, total, [use.run for use in used]),
        why=why(inst, names, solution, timing) if told else None,
        cautions=[
            *cautions_for(campaign, [use.run for use in used], heaviest, loads),
            *unplanned(campaign, inspected),
            *switched(campaign),
        ],
    )


def versions() -> dict[str, str]:
    """Versions of the libraries that decide a plan: with the model's hash, the seed and the rounds they repeat it."""
    return {"ortools": init.OrToolsVersion.version_string(), "numpy": np.__version__, "numba": numba.__version__}
