"""What a plan costs, what no plan can cost less than, and what the search ended with."""

from collections.abc import Sequence
from dataclasses import replace
from importlib.metadata import version
from math import fsum

import numba
import numpy as np

from planner.campaign import Campaign
from planner.plan.averages import Expected
from planner.plan.document import CostLine, Outcome
from planner.planning.gone_through import told
from planner.schedule.bounds.avoidable import avoidable_gap, relative_gap
from planner.schedule.bounds.objective_gap import AimMet, aim_undercut, unbounded
from planner.schedule.bounds.press_hours import beforehand
from planner.schedule.bounds.undercut import BOUND, Undercut, dearer
from planner.schedule.found import Found
from planner.schedule.instance import Floats, Instance, fingerprint
from planner.schedule.timing import BROKEN
from planner.spared import Fault, overlook

FIXED = "what no order of work changes: moulded material, pieces, labour, postage"
"""What a bound rests on where there is no better one."""


def outcome_of(
    inst: Instance,
    campaign: Campaign,
    found: Found,
    lines: Sequence[CostLine],
    aim: AimMet | None,
    expected: Expected | None,
) -> Outcome:
    """inst: as the plan is written down. aim: what it has of its aim; None: money is the aim."""
    total = fsum(line.amount for line in lines)
    fixed = min(inst.fixed_cost, total)
    bound, basis = (min(found.bound, total), found.bound_basis) if found.bound > fixed else (fixed, FIXED)
    return Outcome(
        status="optimal" if found.ended == "proven" else "feasible",
        ended=found.ended,
        aim=campaign.planning.aim,
        total=total,
        lower_bound=bound,
        gap=relative_gap(total, bound),
        avoidable=total - fixed,
        avoidable_gap=avoidable_gap(total, bound, fixed),
        bound_basis=basis if found.ended == "proven" else told(basis, campaign),
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


def held_to_bounds(
    inst: Instance, totals: Floats, found: Found, lines: Sequence[CostLine], faults: list[Fault]
) -> Found:
    """What was found, without the bounds that the plan as it is written shows to be wrong, and then without its proof:
    lots may have been joined since, or an order of work kept that costs less. Who breaks a wish undercuts nothing."""
    if inst.several and (known := beforehand(inst)).total > found.bound:
        found = replace(found, bound=known.total, bound_basis=known.basis)  # shared out otherwise, shots are others
    if totals[BROKEN] > 0.0:
        return found
    if wrong := dearer(found.bound, fsum(line.amount for line in lines)):
        overlook(BOUND, Undercut(wrong), faults)
        found = replace(found, bound=0.0, bound_basis="", ended="budget used" if found.proven else found.ended)
    if found.aim is not None and (wrong := aim_undercut(inst, totals, found.aim)):
        overlook(BOUND, Undercut(wrong), faults)
        found = replace(found, aim=unbounded(found.aim), ended="budget used" if found.proven else found.ended)
    return found


def versions() -> dict[str, str]:
    """Versions of the libraries that decide a plan: with the model's hash, the seed and the rounds they repeat it."""
    return {"ortools": version("ortools"), "numpy": np.__version__, "numba": numba.__version__}
